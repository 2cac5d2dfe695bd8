"""How well TIR, high side and orders are known, and the budget; knows no limit."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
