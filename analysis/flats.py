"""Stretches in which the gauge gave one and the same value although it should have moved.

A stuck gauge stands anywhere; a tip that lifted off or reached the end of its travel stands at the
extreme. A coarse gauge on a slow slope also repeats itself: only a stretch that chance does not explain
counts. Knows nothing of limits.
"""

import math
from dataclasses import dataclass

import numpy as np

from analysis.samples import Floats

CHANCE = 1e-6
"""A stretch is suspicious when its chance, over the whole turn, is below this (a choice of ours)."""
FEWEST_VALUES = 6
"""Fewer identical readings in a row are not looked at."""


@dataclass(frozen=True)
class Flat:
    """One stretch of identical values."""

    start_deg: float
    span_deg: float
    values: int
    at_extreme: bool
    """True where the value is the highest or the lowest of its turn."""


def find_flats(
    angle_rad: Floats, reading_mm: Floats, expected_mm: Floats, noise_mm: float, resolution_mm: float
) -> list[Flat]:
    """Return the stretches of one turn in which the gauge stood still against all expectation.

    Parameters, shape (n,), in the order taken: unwrapped angle, readings, and what the other turns (or a
    curve fitted without the stretch) say they should have been.
    """
    n = len(reading_mm)
    if n < 8:
        return []
    tolerance = resolution_mm * 1e-3 + 1e-12
    same = np.abs(np.diff(reading_mm)) <= tolerance
    starts = np.flatnonzero(~np.concatenate([[False], same]))
    ends = np.append(starts[1:], n)
    long = ends - starts >= FEWEST_VALUES
    flats = []
    for start, end in zip(starts[long], ends[long], strict=True):
        count = int(end - start)
        outside = np.concatenate([same[: max(start - 1, 0)], same[end:]])
        repeats = (float(outside.sum()) + 1.0) / (len(outside) + 2.0)
        by_chance = n * repeats ** (count - 1)
        should_move = float(np.ptp(expected_mm[start:end]))
        still = should_move > 4.0 * resolution_mm + 6.0 * noise_mm
        noisy = noise_mm >= 0.5 * resolution_mm
        if by_chance < CHANCE and (still or noisy):
            value = reading_mm[start]
            span = abs(math.degrees(float(angle_rad[end - 1] - angle_rad[start])))
            extreme = bool(value >= reading_mm.max() - tolerance or value <= reading_mm.min() + tolerance)
            flats.append(Flat(math.degrees(float(angle_rad[start])) % 360.0, span, count, extreme))
    return flats
