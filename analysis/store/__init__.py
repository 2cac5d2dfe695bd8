"""The store of results: what was recorded, every turn kept, and what was concluded, in one database."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
