"""The plan of a cut in the lathe position: least stock, passes, first touch, what stays uncut, stock left.

Arithmetic only: a qualified person decides whether the part may be machined at all. Where stock or limit
breaks, the card stops and gives no depth.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.errors import BadInput
from analysis.numerics import Floats, OrderVectors
from analysis.setup import Surface

POINTS = 720


@dataclass(frozen=True)
class Track:
    """One track of the face in the lathe position."""

    vectors: OrderVectors
    """As the lathe reads it, part angle."""
    height_mm: float = 0.0
    """Mean height on one axial zero; only differences between tracks count."""
    touch_reach_deg: tuple[float, float] = (0.0, 0.0)
    """How far before and past the top of its curve the high point may lie, degrees; the first not above 0."""


@dataclass(frozen=True)
class CutPlan:
    """The plan; None where a stop forbids it or nothing was entered to tell by."""

    least_stock_mm: float
    """Metal that has to go for the face to clean up all round."""
    depth_mm: float | None
    """The same, from first touch to the last pass; None with a stop."""
    passes_mm: tuple[float, ...]
    """Depth of each pass."""
    first_touch_deg: float | None
    """Part angle of the high point, where the tool touches first."""
    uncut_after_pass_deg: tuple[float, ...]
    """How much of the turn is still uncut after each pass, degrees."""
    stock_left_mm: float | None
    axial_shift_mm: float | None
    """By how much the mean plane moves, to be re-shimmed; None on an outside or a bore."""
    stops: tuple[str, ...]
    notes: tuple[str, ...]
    depth_by_angle_mm: Floats
    """Metal to take at 720 angles from the part's mark on the first track; empty with a stop."""
    guard_mm: float = 0.0
    """By how much more may have to go, with every line of the budget: the minimum is held against both."""
    first_touch_95_deg: tuple[float, float] | None = None


def plan_cut(
    tracks: Sequence[Track],
    *,
    allowance_mm: float = 0.0,
    pass_depth_mm: float | None = None,
    stock_mm: float | None = None,
    minimum_mm: float | None = None,
    surface: str = Surface.FACE,
    stops: Sequence[str] = (),
    guard_mm: float = 0.0,
) -> CutPlan:
    """Plan a cut that cleans up the whole face as it stands on the lathe now.

    Parameters: tracks on one axial zero; ``allowance_mm`` to take below the lowest place; ``pass_depth_mm``
    deepest pass; ``stock_mm`` what there is now at the first touch (thickness, or radius of an outside) and
    ``minimum_mm`` the least the maker allows; ``stops`` reasons known already; ``guard_mm`` by how much more
    than the tracks read may have to go (one-sided, 95 %), which a minimum is kept clear of. Raises BadInput
    for depths below zero, no track, or a minimum without the stock to hold it against.
    """
    if not tracks:
        raise BadInput("no track to plan a cut on: give the sweep of the mounting that is on the lathe now")
    for name, value in (("allowance", allowance_mm), ("stock", stock_mm), ("minimum", minimum_mm)):
        if value is not None and value < 0.0:
            raise BadInput(f"{name} {value:g} mm is below zero: give a length from 0 up")
    if pass_depth_mm is not None and not pass_depth_mm > 0.0:
        raise BadInput(f"pass depth {pass_depth_mm:g} mm is not above zero: give the deepest pass")
    if minimum_mm is not None and stock_mm is None:
        raise BadInput("a minimum without what there is now: give --stock too")
    grid: Floats = np.linspace(0.0, 2.0 * math.pi, POINTS, endpoint=False)
    heights = np.concatenate([track.vectors.curve(grid) + track.height_mm for track in tracks])
    found = [track.vectors.extremes for track in tracks]
    tops = [one.highest_mm + track.height_mm for one, track in zip(found, tracks, strict=True)]
    high = max(tops)
    low = min(one.lowest_mm + track.height_mm for one, track in zip(found, tracks, strict=True))
    least = high - low + allowance_mm
    left = None if stock_mm is None else stock_mm - least
    reasons = list(stops)
    if left is not None and left <= 0.0:
        reasons.append(f"the stock of {stock_mm:.3f} mm does not clean up: {least:.3f} mm has to go")
    elif left is not None and minimum_mm is not None and left < minimum_mm:
        reasons.append(f"{left:.3f} mm would be left, under the entered minimum of {minimum_mm:.3f} mm")
    elif left is not None and minimum_mm is not None and left - guard_mm < minimum_mm:
        reasons.append(
            f"not decided: {left:.3f} mm would be left, within the guard band of {guard_mm:.4f} mm over the "
            f"entered minimum of {minimum_mm:.3f} mm"
        )
    notes = ["stock not checked: no minimum was entered"] if minimum_mm is None else []
    if reasons:
        stop = CutPlan(least, None, (), None, (), left, None, tuple(reasons), tuple(notes), np.empty(0))
        return replace(stop, guard_mm=guard_mm)
    passes = split_passes(least, pass_depth_mm)
    reached = high - np.cumsum(passes)
    first = int(np.argmax(tops))
    touch_deg = math.degrees(found[first].high_rad)
    before_deg, past_deg = tracks[first].touch_reach_deg
    return CutPlan(
        least,
        least,
        tuple(passes),
        touch_deg,
        tuple(360.0 * float(np.mean(heights < level - 1e-12)) for level in reached),
        left,
        float(np.mean(heights)) - (low - allowance_mm) if surface == Surface.FACE else None,
        (),
        tuple(notes),
        heights[:POINTS] - (low - allowance_mm),
        guard_mm,
        (touch_deg + before_deg, touch_deg + past_deg),
    )


def depth_at(card: CutPlan, places: int) -> list[tuple[float, float]]:
    """Return (degrees, metal to take there in mm) at even places from the part's mark; none with a stop.

    Parameters: ``places`` a divisor of 720.
    """
    if not len(card.depth_by_angle_mm):
        return []
    step = POINTS // places
    return [(360.0 * k / places, float(card.depth_by_angle_mm[k * step])) for k in range(places)]


def split_passes(depth_mm: float, pass_depth_mm: float | None) -> list[float]:
    """Return equal passes of at most this depth; one pass where none was entered, none for no depth."""
    if depth_mm <= 0.0:
        return []
    count = 1 if pass_depth_mm is None else max(1, math.ceil(depth_mm / pass_depth_mm - 1e-9))
    return [depth_mm / count] * count


def still_uncut_deg(between: OrderVectors, before: OrderVectors, threshold_mm: float) -> float:
    """Return how much of the turn a pass has not touched yet, from a sweep taken between passes, degrees.

    Parameters: the sweep after the pass and the one before the cut, both on the lathe in part angle; what a
    place must lie under the rest, or have changed against it, to be told apart (mm). Cut places all lie at
    one level of the lathe, the highest there is; uncut ones lie under it. 360 where nothing has changed.
    """
    grid: Floats = np.linspace(0.0, 2.0 * math.pi, POINTS, endpoint=False)
    now = between.curve(grid)
    if float(np.ptp(now - before.curve(grid))) <= threshold_mm:
        return 360.0
    return 360.0 * float(np.mean(now < now.max() - threshold_mm))
