"""The checks of a sweep, one entry each: what it looks at, severity, cause, words; knows no fit."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
