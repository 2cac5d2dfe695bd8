"""One sweep from capture to decision, step by step; knows no second sweep."""
