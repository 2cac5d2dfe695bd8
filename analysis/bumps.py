"""Narrow bumps on a track: ridges and nicks that repeat at one part angle, holes, and knocks that do not.

A curve of few orders is fitted so that narrow features stand out of it as outliers; each is named, placed
and measured, and never dropped. Knows nothing of limits.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import harmonic_rows
from analysis.samples import Floats
from analysis.setup import Hole

BASE_ORDERS = 5
WIDEST_DEG = 40.0
"""Anything wider is form, not a bump."""
NARROW_DEG = 5.0
"""A raised feature narrower than this is called a nick, a wider one a ridge (a choice of ours, no source)."""
STANDS_OUT = 6.0
"""How many robust standard deviations a reading must stand out by (a choice of ours: 2e-9 by chance)."""


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
    kind: str
    """``nick``, ``knock``, ``hole``, ``stand`` or ``ridge``."""
    kept: bool = True

    @property
    def repeats(self) -> bool:
        """True where it belongs to the part rather than to one moment."""
        return self.kind in ("nick", "ridge", "hole")


@dataclass(frozen=True)
class BumpSearch:
    """What was found, and the bumps' effect on the total reading."""

    bumps: tuple[Bump, ...]
    tir_with_bumps_mm: float
    """Max - min of the low-order curve with every repeating bump on it."""


def robust_curve(angle_rad: Floats, reading_mm: Floats, orders: int = BASE_ORDERS) -> Floats:
    """Return the value, at each reading, of a low-order curve that narrow bumps do not pull.

    Iteratively reweighted least squares with Tukey's biweight (constant 4.685), after a start on medians
    of eight-degree sectors, which no narrow bump can carry away. Shapes (n,) in and out.
    """
    columns = harmonic_rows(angle_rad, orders).T
    sector = np.floor(np.mod(angle_rad, 2 * math.pi) / math.radians(8.0)).astype(np.int64)
    order = np.argsort(sector, kind="stable")
    edges = np.flatnonzero(np.diff(sector[order])) + 1
    groups = np.split(order, edges)
    middle = np.array([np.median(reading_mm[group]) for group in groups])
    place = np.array([columns[group].mean(axis=0) for group in groups])
    weight: Floats = np.ones(len(middle))
    estimate: Floats = np.zeros(columns.shape[1])
    for _ in range(8):
        estimate = np.asarray(np.linalg.lstsq(place * weight[:, None], middle * weight, rcond=None)[0], float)
        weight = _root_weight(middle - place @ estimate)
    for _ in range(6):
        weight = _root_weight(reading_mm - columns @ estimate)
        estimate = np.asarray(
            np.linalg.lstsq(columns * weight[:, None], reading_mm * weight, rcond=None)[0], float
        )
    curve: Floats = columns @ estimate
    return curve


def robust_sd(residual: Floats) -> float:
    """Return 1.4826 times the median absolute deviation: the standard deviation of clean normal noise."""
    return 1.4826 * float(np.median(np.abs(residual - np.median(residual))))


def _root_weight(residual: Floats) -> Floats:
    """Return the root of the biweight, which scales a row of a least-squares problem."""
    ratio = np.minimum(np.abs(residual) / (4.685 * max(robust_sd(residual), 1e-9)), 1.0)
    return np.asarray(np.maximum(1.0 - ratio**2, 1e-4))


def find_bumps(
    angle_rad: Floats,
    reading_mm: Floats,
    turn: NDArray[np.int64],
    *,
    resolution_mm: float = 0.0,
    holes: Sequence[Hole] = (),
) -> BumpSearch:
    """Find the narrow bumps of a sweep.

    Parameters, all of shape (n,): part angle (wrapped or not), readings less drift, and the number of the
    turn each belongs to. Returns the bumps in order of angle; a bump seen on all turns (or all but one in
    five) repeats, one seen on fewer is a knock; with a single turn the two cannot be told apart and the
    feature is taken as the part's.
    """
    numbers = np.unique(turn)
    if len(angle_rad) < 8 * (BASE_ORDERS + 1):
        return BumpSearch((), float(np.ptp(reading_mm)) if len(reading_mm) else 0.0)
    curve = robust_curve(angle_rad, reading_mm)
    residual = reading_mm - curve
    for number in numbers:
        residual[turn == number] -= np.median(residual[turn == number])
    threshold = max(STANDS_OUT * robust_sd(residual), 4.0 * resolution_mm, 1e-7)
    seen: list[tuple[int, float, float, float]] = []
    for number in numbers:
        mine = turn == number
        seen += [(int(number), *found) for found in _spans(angle_rad[mine], residual[mine], threshold)]
    bumps = [_merge(cluster, len(numbers)) for cluster in _clusters(seen)]
    bumps = _name_holes(sorted(bumps, key=lambda bump: bump.deg), holes)
    tops = [float(curve.max()), float(curve.min())]
    for bump in bumps:
        if bump.repeats and bump.kind != "hole":
            near = np.abs(_wrap_deg(np.degrees(angle_rad) - bump.deg)) <= max(bump.width_deg / 2, 1.0)
            if near.any():
                end = curve[near].max() if bump.height_mm > 0 else curve[near].min()
                tops.append(float(end) + bump.height_mm)
    return BumpSearch(tuple(bumps), max(tops) - min(tops))


def _spans(angle_rad: Floats, residual: Floats, threshold: float) -> list[tuple[float, float, float]]:
    """Return (middle, width, height) of each place on one turn where the residual stands out."""
    around = np.degrees(np.mod(angle_rad, 2 * math.pi))
    order = np.argsort(around, kind="stable")
    around, high = around[order], residual[order]
    step = max(float(np.median(np.diff(around))), 0.05)
    n, found, used = len(around), [], np.zeros(len(around), bool)
    for peak in np.argsort(-np.abs(high)):
        if np.abs(high[peak]) < threshold:
            break
        if used[peak]:
            continue
        sign = math.copysign(1.0, high[peak])
        left, right = 0, 0
        # The span runs out to half the height, over places where one reading in between falls short.
        while left < n - 1 and _carries(high, peak - left - 1, -1, sign, abs(high[peak]) / 2, n):
            left += 1
        while right < n - 1 and _carries(high, peak + right + 1, 1, sign, abs(high[peak]) / 2, n):
            right += 1
        span = np.arange(peak - left, peak + right + 1) % n
        width = (around[span[-1]] - around[span[0]]) % 360.0 + step
        fresh = not used[span].any()
        used[np.arange(peak - left - 2, peak + right + 3) % n] = True
        if width <= WIDEST_DEG and fresh and left + right + 1 < n:
            middle = (around[span[0]] + (width - step) / 2) % 360.0
            body = np.sort(np.abs(high[span]))[::-1]
            height = float(np.median(body[: max(1, (len(body) + 1) // 2)]))
            found.append((middle, float(width), sign * height))
    return found


def _carries(high: Floats, start: int, way: int, sign: float, half: float, n: int) -> bool:
    return bool(sign * high[start % n] > half or sign * high[(start + way) % n] > half)


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
    kind = "knock"
    if repeats:
        kind = "ridge" if height > 0 and width >= NARROW_DEG else "nick"
    return Bump(deg % 360.0, width, height, turns, kind)


def _name_holes(bumps: list[Bump], holes: Sequence[Hole]) -> list[Bump]:
    """Call low places holes where holes are declared, or where three or more stand evenly round the part."""
    low = [bump for bump in bumps if bump.kind == "nick" and bump.height_mm < 0]
    even = False
    if len(low) >= 3:
        spaces = np.diff([*[bump.deg for bump in low], low[0].deg + 360.0])
        even = bool(np.all(np.abs(spaces - 360.0 / len(low)) < 3.0))
    named = []
    for bump in bumps:
        declared = any(
            abs((hole.deg - bump.deg + 180.0) % 360.0 - 180.0) <= max(3.0, hole.width_deg / 2)
            for hole in holes
        )
        named.append(replace(bump, kind="hole") if bump in low and (even or declared) else bump)
    return named
