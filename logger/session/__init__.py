"""Bytes and events in, a capture out; no port, thread, clock or screen."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
