"""Readings taken standing: the part stops at each hole or chalk mark, and a still second is read.

Ends in a stepped set, decided by the rule for few places.
"""

from dataclasses import dataclass

import numpy as np

from analysis.capture import Floats
from analysis.errors import BadInput

STILL_S = 1.0
LEAST_VALUES = 3


@dataclass(frozen=True)
class Stop:
    """One reading taken standing."""

    reading_mm: float
    """Median of the still second."""
    spread_mm: float
    """Greatest less smallest reading of it."""
    still: bool
    """False while the part still moved."""


def read_stop(
    t_s: Floats, reading_mm: Floats, at_s: float, *, resolution_mm: float, noise_mm: float = 0.0
) -> Stop:
    """Return the reading of the second before ``at_s``.

    Still means that the second's readings do not trend: their halves agree within two steps of the gauge or
    four standard deviations of its noise. Raises BadInput where fewer than three readings lie in that second.
    """
    inside = (t_s > at_s - STILL_S) & (t_s <= at_s)
    if int(inside.sum()) < LEAST_VALUES:
        raise BadInput(
            f"{int(inside.sum())} readings in the second before the stop at {at_s:.1f} s: at least "
            f"{LEAST_VALUES} are needed; wait a second before pressing"
        )
    values = reading_mm[inside]
    half = len(values) // 2
    trend = abs(float(np.median(values[half:]) - np.median(values[:half])))
    allowed = max(2.0 * resolution_mm, 4.0 * noise_mm)
    return Stop(float(np.median(values)), float(np.ptp(values)), trend <= allowed)


def readings_at_places(stops: list[Stop], places: int) -> tuple[Floats, Floats, float | None]:
    """Return (angles in degrees, readings in mm, closing difference) of stops at ``places`` even places.

    One stop more than there are places is the return to the first. Raises BadInput for another number.
    """
    if len(stops) not in (places, places + 1):
        raise BadInput(
            f"{len(stops)} stops for {places} places: stop once at each, then once more at the first "
            f"({places + 1} in all)"
        )
    readings: Floats = np.array([stop.reading_mm for stop in stops], np.float64)
    closing = float(readings[places] - readings[0]) if len(stops) > places else None
    deg: Floats = np.arange(places, dtype=np.float64) * (360.0 / places)
    return deg, readings[:places], closing
