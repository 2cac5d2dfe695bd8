"""Narrow bumps on a track: ridges and nicks that repeat at one part angle, holes, and knocks that do not.

What stands out from the form on each turn is put together over turns, named, placed and measured, and
never dropped. Knows nothing of limits.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Bools, Floats
from analysis.diagnosis.lands import with_lands
from analysis.diagnosis.local_features import (
    BASE_ORDERS,
    find_features,
    form_orders,
    inside,
    robust_curve,
)
from analysis.setup import Hole

NARROW_DEG = 5.0
"""A raised feature narrower than this is called a nick, a wider one a ridge (a choice of ours, no source)."""
AT_HOLE_DEG = 3.0
"""A low place so near a declared hole, or the edge of its width, is that hole."""


class BumpKind(StrEnum):
    """What a narrow feature is."""

    RIDGE = "ridge"
    NICK = "nick"
    HOLE = "hole"
    KNOCK = "knock"
    """Of one moment and not of the part."""


@dataclass(frozen=True)
class Bump:
    """A narrow feature."""

    deg: float
    """Middle, degrees from the mark."""
    width_deg: float
    height_mm: float
    """Height over the curve of low orders; negative = below it."""
    turns: int
    """On how many of the turns it was seen."""
    kind: BumpKind
    kept: bool = True

    @property
    def repeats(self) -> bool:
        """True where it belongs to the part rather than to one moment."""
        return self.kind is not BumpKind.KNOCK


@dataclass(frozen=True)
class BumpSearch:
    """What was found, and the bumps' effect on the total reading."""

    bumps: tuple[Bump, ...]
    tir_with_bumps_mm: float
    """Max - min of the form with every repeating bump on it."""
    form_mm: Floats
    """The form: what whole orders make of the readings beside all bumps, at each reading; shape (n,)."""
    inside: Bools
    """Readings that lie on a bump, shape (n,)."""
    values_on_bump: int = 0
    """Readings, over all turns, on the narrowest of the bumps that make an end of that total; 0 for none."""


def nothing_found(reading_mm: Floats) -> BumpSearch:
    """Return a search that was not made, over readings of shape (n,)."""
    n = len(reading_mm)
    return BumpSearch((), float(np.ptp(reading_mm)) if n else 0.0, np.zeros(n), np.zeros(n, bool))


def find_bumps(
    angle_rad: Floats,
    reading_mm: Floats,
    turn: NDArray[np.int64],
    *,
    resolution_mm: float = 0.0,
    holes: Sequence[Hole] = (),
    lobes: Sequence[int] = (),
) -> BumpSearch:
    """Find the narrow bumps of a sweep, beside those orders above the highest that are ``lobes`` of the form.

    Parameters, all of shape (n,): unwrapped part angle, readings less drift, and the number of the turn each
    belongs to. Returns the bumps in order of angle; a bump seen on all turns (or all but one in five)
    repeats, one seen on fewer is a knock; with a single turn the two cannot be told apart and the feature is
    taken as the part's.
    """
    n = len(angle_rad)
    if n < 8 * (BASE_ORDERS + 1):
        return nothing_found(reading_mm)
    turns = [turn == number for number in np.unique(turn)]
    level = reading_mm.copy()
    off = reading_mm - robust_curve(angle_rad, reading_mm)
    for mine in turns:
        level[mine] -= np.median(off[mine])
    features, form = find_features(angle_rad, level, turns, resolution_mm, lobes)
    features, form = with_lands(
        angle_rad,
        level,
        turns,
        features,
        form,
        resolution_mm=resolution_mm,
        orders=form_orders(n),
        lobes=lobes,
    )
    on = inside(features, n)
    seen = [(one.turn, one.deg, one.width_deg, one.height_mm) for one in features]
    bumps = [_merge(cluster, len(turns)) for cluster in _clusters(seen)]
    bumps = _name_holes(sorted(bumps, key=lambda bump: bump.deg), holes)
    curve = form.curve_mm - form.creep_mm
    body = curve[~on] if not on.all() else curve
    ends = [(float(body.max()), n), (float(body.min()), n)]
    for bump in bumps:
        if bump.repeats and bump.kind is not BumpKind.HOLE:
            near = np.abs(_wrap_deg(np.degrees(angle_rad) - bump.deg)) <= max(bump.width_deg / 2, 1.0)
            if near.any():
                under = curve[near]
                end = float(under.max() if bump.height_mm > 0 else under.min()) + bump.height_mm
                ends.append((end, int(near.sum())))
    top, bottom = max(ends), min(ends)
    return BumpSearch(tuple(bumps), top[0] - bottom[0], curve, on, min(top[1], bottom[1]))


def degrees_apart(first_deg: float, second_deg: float) -> float:
    """Return how far the first angle lies before the second, -180 to 180 degrees."""
    return (second_deg - first_deg + 180.0) % 360.0 - 180.0


def _wrap_deg(deg: Floats) -> Floats:
    wrapped: Floats = (deg + 180.0) % 360.0 - 180.0
    return wrapped


_Seen = tuple[int, float, float, float]


def _clusters(seen: list[_Seen]) -> list[list[_Seen]]:
    clusters: list[list[_Seen]] = []
    for item in sorted(seen, key=lambda one: -abs(one[3])):
        for cluster in clusters:
            _, deg, width, height = cluster[0]
            apart = abs((item[1] - deg + 180.0) % 360.0 - 180.0)
            if apart <= max(2.0, (width + item[2]) / 2) and math.copysign(1, height) == math.copysign(
                1, item[3]
            ):
                cluster.append(item)
                break
        else:
            clusters.append([item])
    return clusters


def _merge(cluster: list[_Seen], all_turns: int) -> Bump:
    turns = len({item[0] for item in cluster})
    first = cluster[0][1]
    deg = first + float(np.median([(item[1] - first + 180.0) % 360.0 - 180.0 for item in cluster]))
    width = float(np.median([item[2] for item in cluster]))
    height = float(np.median([item[3] for item in cluster]))
    repeats = turns >= math.ceil(0.8 * all_turns)
    kind = BumpKind.KNOCK
    if repeats:
        kind = BumpKind.RIDGE if height > 0 and width >= NARROW_DEG else BumpKind.NICK
    return Bump(deg % 360.0, width, height, turns, kind)


def is_at(hole: Hole, bump: Bump) -> bool:
    """Return whether a bump stands at a hole, both from the same mark."""
    return abs(degrees_apart(hole.deg, bump.deg)) <= hole.width_deg / 2 + AT_HOLE_DEG


def _name_holes(bumps: list[Bump], holes: Sequence[Hole]) -> list[Bump]:
    """Call low places holes where holes are declared, or where three or more stand evenly round the part."""
    low = [bump for bump in bumps if bump.kind is BumpKind.NICK and bump.height_mm < 0]
    even = False
    if len(low) >= 3:
        spaces = np.diff([*[bump.deg for bump in low], low[0].deg + 360.0])
        even = bool(np.all(np.abs(spaces - 360.0 / len(low)) < 3.0))
    named = []
    for bump in bumps:
        declared = any(is_at(hole, bump) for hole in holes)
        named.append(replace(bump, kind=BumpKind.HOLE) if bump in low and (even or declared) else bump)
    return named
