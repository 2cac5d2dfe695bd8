"""The data of one sweep: samples, turns, events, exclusions, typed readings, certificate; knows no fit."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
