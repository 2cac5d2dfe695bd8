"""Recordings: raw bytes, events and set-ups in one file that is only ever added to."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
