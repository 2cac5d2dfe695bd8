"""Serial numerics of rotation: sweeps, fits, uncertainty, decisions, and the store of results."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
