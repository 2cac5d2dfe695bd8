"""Least-squares fit of whole orders to readings at the angles where they were really taken.

How well the result is known from several turns is the business of the uncertainty room.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import NotDecidable
from analysis.harmonics.design import Line
from analysis.harmonics.harmonic_fit import HarmonicFit
from analysis.harmonics.solve import half_sampled_phase, solve, solve_half_sampled, too_few

Floats = NDArray[np.float64]

_POINTS_PER_ORDER = 7
FILLED_DEG = 12.0
"""A turn is filled when no gap between its places is wider: a wider one leaves high orders to guess."""


def default_highest_order(new_values_per_turn: float, distinct_places: int) -> int:
    """Return the highest order to fit: 15, or fewer where the gauge gives too few new values a turn.

    Seven points per undulation (ISO 12181-2, from memory), never more than (places - 1) / 2, and at least 1
    from three distinct places. Raises NotDecidable below three places.
    """
    if distinct_places < 3:
        raise NotDecidable(
            f"{distinct_places} distinct places: at least 3 are needed for the plainest wobble; turn on"
        )
    return max(1, min(15, int(new_values_per_turn // _POINTS_PER_ORDER), (distinct_places - 1) // 2))


def highest_order_together(values: int, places: int, gap_deg: float, alone: int) -> int:
    """Return the highest order that turns put together carry: 15, or fewer by their values and places.

    Parameters: values and different places (to a degree) of all turns, their widest gap, and the order that
    one turn carries alone. Seven points an order is a rule for a filter over one turn; least squares over
    turns that do not fall on each other carries an order as soon as the places do (own trial).
    """
    if gap_deg > FILLED_DEG:
        return alone
    return max(alone, min(15, int((values / 2.5 - 2) // 2), int((0.8 * places - 1) // 2)))


def fit_harmonics(
    angle_rad: ArrayLike,
    reading_mm: ArrayLike,
    t_s: ArrayLike | None = None,
    *,
    highest_order: int,
    drift: bool = False,
    lines: Sequence[Line] = (),
    free_frequency: bool = True,
    added: Sequence[int] = (),
    beside: Floats | None = None,
) -> HarmonicFit:
    """Fit orders 1..H by least squares at the angles as they are.

    Parameters: unwrapped angles (rad), readings (mm) and, where ``drift`` is asked for, times (s), each shape
    (n,); ``lines`` already found, whose amplitudes are fitted anew and whose frequencies count as unknown too
    where ``free_frequency``; single orders ``added`` above H; rows ``beside`` (k, n) fitted and then left out
    of what is said. With N = 2H equally spaced places the last order has a cosine only.
    Raises NotDecidable where the readings do not carry these orders.
    """
    angle = np.ascontiguousarray(angle_rad, dtype=np.float64)
    reading = np.ascontiguousarray(reading_mm, dtype=np.float64)
    if angle.ndim != 1 or angle.shape != reading.shape:
        raise ValueError(f"angles {angle.shape} and readings {reading.shape} do not fit: expected (n,) both")
    if highest_order < 1:
        raise ValueError(f"highest order {highest_order} is below 1: ask for at least the first")
    half = None if added or beside is not None else half_sampled_phase(angle, highest_order)
    if len(angle) < 1 + 2 * (highest_order + len(added)) - (half is not None):
        raise NotDecidable(too_few(len(angle), highest_order))
    time = None
    if drift:
        if t_s is None:
            raise ValueError("drift needs the times of the readings: hand over t_s")
        time = np.ascontiguousarray(t_s, dtype=np.float64)
    if half is not None:
        return solve_half_sampled(angle, reading, highest_order, half)
    return solve(angle, reading, time, highest_order, lines, 3 if free_frequency else 2, tuple(added), beside)
