"""What to do about it: cut, hole position, moves of screws, torque order; measures nothing."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
