"""Results as sentences and as JSON, one module a result; computes nothing."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
