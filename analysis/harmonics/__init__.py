"""Orders and asynchronous lines fitted to readings at their own angles; knows no part, limit or check."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
