"""The page: before and after on one sheet of paper, as HTML and as PDF; computes nothing of a sweep."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
