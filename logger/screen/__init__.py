"""The live screen in Textual: keys go in, rows of the view are painted. Holds no arithmetic."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
