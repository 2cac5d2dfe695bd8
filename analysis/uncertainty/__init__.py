"""How well TIR, high side and orders are known, and the budget; knows no limit."""
