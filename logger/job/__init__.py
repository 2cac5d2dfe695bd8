"""The guided job: steps, where it stands, its file, what its sweeps showed; no screen."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
