"""A short made sweep for what is written and read back: held values in it, readings on the step of its gauge."""

import numpy as np

from analysis.capture import Capture, Samples
from analysis.setup import parse_setup


def few_readings(n: int, *, timed: bool = True, resolution_mm: float = 0.001, **keys: str) -> Capture:
    """Return ``n`` readings over two turns, every fourth held; ``keys`` of the set-up."""
    angle = np.linspace(-0.3, 13.0, n)
    return Capture(
        Samples(
            0.02 * np.arange(n),
            angle,
            np.round(0.05 * np.cos(angle), 3),
            np.arange(n) % 4 != 3,
            np.zeros(n, bool),
            np.zeros(n, np.int16),
        ),
        parse_setup(keys),
        resolution_mm=resolution_mm,
        timed=timed,
    )
