"""The virtual bench: a part, a gauge, an encoder and a board that exist only in simulated microseconds."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
