"""What was declared of part, gauge, encoder and limit, field by field; knows no reading."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
