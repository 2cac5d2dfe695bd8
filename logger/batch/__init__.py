"""Parts of one kind, one after another by serial number: which, what was typed, what each was told."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
