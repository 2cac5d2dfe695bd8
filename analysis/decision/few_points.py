"""Typed readings: a few places round the part, written down from a dial.

So few readings carry no fit worth deciding on: the deciding quantity is their own max - min, and what lies
unseen between the places is allowed for before anything is called within.
"""

import math

import numpy as np

from analysis.capture import Floats, largest_gap_deg
from analysis.decision.rule import Estimate, estimate_with_u


def typed_estimate(angle_rad: Floats, reading_mm: Floats, digit_mm: float) -> tuple[Estimate, float]:
    """Return the estimate on tir_raw of few places, and its upper limit with the unseen allowed for.

    u is the last written digit / sqrt 6 (a difference of two rounded readings), degrees of freedom without
    end. The upper limit is tir_raw / cos(half the widest gap) + guard: for N even places cos(pi / N), the
    least that a plain wobble shows. Infinite where the gap is half a turn or more.
    """
    tir = float(np.ptp(reading_mm))
    estimate = estimate_with_u("tir", tir, digit_mm / math.sqrt(6.0))
    half_gap = math.radians(largest_gap_deg(angle_rad)) / 2.0
    seen = math.cos(half_gap)
    guard = estimate.high_one_sided_mm - tir
    return estimate, (tir / seen + guard if seen > 1e-6 else math.inf)


def blind_spot_sentence(places: int, gap_deg: float) -> str:
    """Return the line that says what so few readings cannot see."""
    seen = math.cos(math.radians(gap_deg) / 2.0)
    lost = f"{100 * (1 - seen):.0f} %" if seen > 0 else "all"
    return (
        f"{places} places can miss up to {lost} of a plain wobble, and the whole of a form that repeats "
        f"{places} times round, or of anything narrow between them"
    )
