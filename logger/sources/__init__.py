"""Where items come from: a port, or a recording read again. Each is one shape, ``logger.stream.Source``."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
