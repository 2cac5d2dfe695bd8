"""Mathematics without a sweep: distributions, least squares, propagation, order vectors; knows no gauge."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
