"""The only thread: reads, records, feeds, and keeps turns in the store."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
