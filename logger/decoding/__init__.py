"""The bytes of one link to unwrapped integers; knows no angle or turn."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
