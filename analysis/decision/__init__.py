"""Within, over or undecided: the one decision rule; knows no sweep."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
