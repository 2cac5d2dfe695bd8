"""One sweep from capture to decision, step by step; knows no second sweep."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
