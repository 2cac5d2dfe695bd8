"""Angles without an encoder, and the encoder calibrated; knows no fit of the part."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
