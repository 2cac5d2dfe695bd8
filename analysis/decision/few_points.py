"""Typed readings: a few places round the part, written down from a dial.

So few readings carry no fit worth deciding on: the deciding quantity is their own max - min, and what lies
unseen between the places is allowed for before anything is called within.
"""

import math
from dataclasses import replace

import numpy as np

from analysis.capture import Floats, largest_gap_deg
from analysis.numerics import TRIANGULAR, Component, Limits, UncertainNumber

LAST_DIGIT = "last written digit"
"""The budget line of readings that were rounded when they were written down."""


def tir_of_few_places(angle_rad: Floats, reading_mm: Floats, digit_mm: float) -> UncertainNumber:
    """Return tir_raw of readings at a few places, the unseen allowed for in its upper one-sided limit.

    u is the last written digit / sqrt 6 (a difference of two rounded readings), degrees of freedom without
    end. That limit is tir_raw / cos(half the widest gap) + guard: for N even places cos(pi / N), the least
    that a plain wobble shows. Infinite where the gap is half a turn or more.
    """
    tir = float(np.ptp(reading_mm))
    seen_part = UncertainNumber(
        tir, {LAST_DIGIT: Component(digit_mm / math.sqrt(6.0), distribution=TRIANGULAR)}, least=0.0
    )
    low, high = seen_part.one_sided()
    seen = math.cos(math.radians(largest_gap_deg(angle_rad)) / 2.0)
    upper = tir / seen + (high - tir) if seen > 1e-6 else math.inf
    return replace(seen_part, limits=Limits(seen_part.interval(), (low, upper)))


def blind_spot_sentence(places: int, gap_deg: float) -> str:
    """Return the line that says what so few readings cannot see."""
    seen = math.cos(math.radians(gap_deg) / 2.0)
    lost = f"{100 * (1 - seen):.0f} %" if seen > 0 else "all"
    return (
        f"{places} places can miss up to {lost} of a plain wobble, and the whole of a form that repeats "
        f"{places} times round, or of anything narrow between them"
    )
