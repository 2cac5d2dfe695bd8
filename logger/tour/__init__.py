"""The whole demonstration job told once, from end float to as left, without a person at the bench."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
