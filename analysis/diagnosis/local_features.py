"""Narrow features told from form: where readings stand out from what whole orders say of the rest.

A part of orders 6 to 15 stands as far off a curve of five orders as a ridge does; but its orders, fitted
beside a place, foretell what lies there, and those beside a ridge do not. Knows nothing of what a feature
may be called.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Bools, Floats
from analysis.harmonics import harmonic_rows, order_rows
from analysis.numerics import robust_sd

BASE_ORDERS = 5
FORM_ORDERS = 15
"""What whole orders up to this explain is the part's form."""
WIDEST_DEG = 40.0
"""Anything wider is form."""
STANDS_OUT = 6.0
"""How many robust standard deviations a reading must stand out by (a choice of ours: 2e-9 by chance)."""
_PASSES = 8
_MOST = 400
"""More features are not looked for: something else is wrong with such a sweep."""
_NEARLY_HIGHEST = 0.6
"""Beside a feature not yet taken out the curve swings: only those so near the highest are believed."""


@dataclass(frozen=True)
class Feature:
    """One place on one turn where readings stand out."""

    turn: int
    """Number of the turn."""
    deg: float
    """Middle, degrees from the mark."""
    width_deg: float
    height_mm: float
    """Height over the form; negative = below it."""
    where: NDArray[np.intp]
    """Readings from foot to foot, indices into the whole sweep."""
    core: NDArray[np.intp]
    """Those above half the height."""


@dataclass(frozen=True)
class Form:
    """Whole orders fitted to some of the readings."""

    curve_mm: Floats
    """The fit at every reading, shape (n,)."""
    creep_mm: Floats
    """What of it is creep along the angle and not form, shape (n,)."""
    inverse: Floats
    """Inverse normal matrix, shape (p, p)."""
    scatter_mm: float
    """Robust standard deviation of the readings it was fitted to."""


def robust_curve(angle_rad: Floats, reading_mm: Floats, orders: int = BASE_ORDERS) -> Floats:
    """Return the value, at each reading, of a low-order curve that narrow features do not pull.

    Iteratively reweighted least squares with Tukey's biweight (constant 4.685), after a start on medians
    of eight-degree sectors, which no narrow feature can carry away. Shapes (n,) in and out.
    """
    rows = harmonic_rows(angle_rad, orders)
    sector = np.floor(np.mod(angle_rad, 2 * math.pi) / math.radians(8.0)).astype(np.int64)
    order = np.argsort(sector, kind="stable")
    edges = np.flatnonzero(np.diff(sector[order])) + 1
    groups = np.split(order, edges)
    middle = np.array([np.median(reading_mm[group]) for group in groups])
    place = np.array([rows[:, group].mean(axis=1) for group in groups])
    weight: Floats = np.ones(len(middle))
    estimate: Floats = np.zeros(len(rows))
    for _ in range(8):
        estimate = np.asarray(np.linalg.lstsq(place * weight[:, None], middle * weight, rcond=None)[0], float)
        weight = _root_weight(middle - place @ estimate)
    for _ in range(6):
        weight = _root_weight(reading_mm - estimate @ rows)
        weighted = rows * weight**2
        # By normal equations: orders so low are far from alike wherever there are readings.
        estimate = np.asarray(np.linalg.lstsq(weighted @ rows.T, weighted @ reading_mm, rcond=None)[0], float)
    return np.asarray(estimate @ rows)


def _root_weight(residual: Floats) -> Floats:
    """Return the root of the biweight, which scales a row of a least-squares problem."""
    ratio = np.minimum(np.abs(residual) / (4.685 * max(robust_sd(residual), 1e-9)), 1.0)
    return np.asarray(np.maximum(1.0 - ratio**2, 1e-4))


def form_orders(n: int) -> int:
    """Return up to which order n readings carry a form."""
    return max(BASE_ORDERS, min(FORM_ORDERS, n // 7))


def form_columns(angle_rad: Floats, orders: int, creeping: bool, lobes: Sequence[int] = ()) -> Floats:
    """Return the columns of a form: constant, orders and, where asked, creep along the unwrapped angle."""
    columns = order_rows(angle_rad, orders, lobes).T
    return (
        np.column_stack([columns, angle_rad - angle_rad.mean()])
        if creeping
        else np.ascontiguousarray(columns)
    )


def fit_form(
    columns: Floats, level_mm: Floats, use: Bools, resolution_mm: float, *, creeping: bool = False
) -> Form:
    """Return the form fitted to the readings in use, for all readings; ``creeping``: the last column creeps.

    Directions that the readings do not tell, such as across a place left out, are held near zero: a quarter
    of the range of the readings is taken as the prior standard deviation of each coefficient.
    """
    prior = float(np.ptp(level_mm)) / 4.0
    scatter = resolution_mm / math.sqrt(12.0) + 1e-9
    out = columns[~use]
    gram = columns.T @ columns - out.T @ out
    right = columns.T @ level_mm - out.T @ level_mm[~use]
    curve, inverse, estimate = level_mm, gram, right
    for _ in range(2):
        held = np.full(columns.shape[1], (scatter / max(prior, scatter)) ** 2)
        held[0] = 1e-12
        inverse = np.asarray(np.linalg.inv(gram + np.diag(held)), np.float64)
        estimate = inverse @ right
        curve = columns @ estimate
        scatter = max(robust_sd((level_mm - curve)[use]), 1e-12)
    creep = columns[:, -1] * estimate[-1] if creeping else np.zeros(len(level_mm))
    return Form(curve, creep, inverse, scatter)


def find_features(
    angle_rad: Floats,
    level_mm: Floats,
    turns: Sequence[Bools],
    resolution_mm: float,
    lobes: Sequence[int] = (),
) -> tuple[list[Feature], Form]:
    """Return the features that whole orders do not explain, and the form beside them.

    Parameters: unwrapped angles and readings, each turn brought to one height, shape (n,); for each turn
    which readings are its; ``lobes`` orders above the highest that are form. Begins with what stands out from
    a robust low-order curve, then takes turns fitting the form beside all features and asking which of them,
    and what else, stands out from it.
    """
    n = len(level_mm)
    deg = np.degrees(np.mod(angle_rad, 2 * math.pi))
    by_angle = [np.flatnonzero(mine) for mine in turns]
    by_angle = [mine[np.argsort(deg[mine], kind="stable")] for mine in by_angle]
    # What creeps in a single turn is no form: it would bend the curve at the mark.
    creeping = len(turns) == 1
    columns = form_columns(angle_rad, form_orders(n), creeping, lobes)

    def threshold(scatter_mm: float) -> float:
        return max(STANDS_OUT * scatter_mm, 4.0 * resolution_mm, 1e-7)

    def standing_out(residual: Floats, known: Bools) -> list[Feature]:
        least = threshold(robust_sd(residual[~known]))
        found: list[Feature] = []
        for number, mine in enumerate(by_angle):
            left = mine[~known[mine]]
            if len(left) >= 8:
                found += _on_one_turn(number, deg, residual, left, least)
        return found

    features = standing_out(level_mm - robust_curve(angle_rad, level_mm), np.zeros(n, bool))
    form = fit_form(columns, level_mm, ~inside(features, n), resolution_mm, creeping=creeping)
    for _ in range(_PASSES):
        residual = level_mm - form.curve_mm
        kept = []
        for feature in features:
            height = _height(residual[feature.core])
            row = columns[feature.core].mean(axis=0)
            u_height = form.scatter_mm * math.sqrt(max(float(row @ form.inverse @ row), 0.0))
            if abs(height) >= max(threshold(form.scatter_mm), STANDS_OUT * u_height):
                kept.append(replace(feature, height_mm=height))
        fresh = standing_out(residual, inside(kept, n)) if len(kept) < _MOST else []
        if not fresh and len(kept) == len(features):
            return kept, form
        highest = max((abs(feature.height_mm) for feature in fresh), default=0.0)
        features = kept + [one for one in fresh if abs(one.height_mm) > _NEARLY_HIGHEST * highest]
        form = fit_form(columns, level_mm, ~inside(features, n), resolution_mm, creeping=creeping)
    return features, form


def inside(features: Sequence[Feature], n: int) -> Bools:
    """Return which of n readings lie on a feature."""
    on = np.zeros(n, bool)
    for feature in features:
        on[feature.where] = True
    return on


def _height(residual_mm: Floats) -> float:
    """Return the height of a feature, its sign kept: the median of the upper half of its readings."""
    body = residual_mm[np.argsort(-np.abs(residual_mm))]
    return float(np.median(body[: max(1, (len(body) + 1) // 2)]))


def _on_one_turn(
    number: int, deg: Floats, residual_mm: Floats, mine: NDArray[np.intp], threshold: float
) -> list[Feature]:
    """Return each place on one turn where the residual stands out; ``mine``: its readings by angle."""
    around, high = deg[mine], residual_mm[mine]
    step = max(float(np.median(np.diff(around))), 0.05)
    n, found, used = len(around), [], np.zeros(len(around), bool)
    for peak in np.argsort(-np.abs(high)):
        if np.abs(high[peak]) < threshold:
            break
        if used[peak]:
            continue
        sign = math.copysign(1.0, high[peak])
        half = abs(high[peak]) / 2
        left, right = 0, 0
        # The span runs out to half the height, over places where one reading in between falls short.
        while left < n - 1 and _carries(high, peak - left - 1, -1, sign, half):
            left += 1
        while right < n - 1 and _carries(high, peak + right + 1, 1, sign, half):
            right += 1
        span = np.arange(peak - left, peak + right + 1) % n
        width = (around[span[-1]] - around[span[0]]) % 360.0 + step
        fresh = not used[span].any()
        used[np.arange(peak - left - 2, peak + right + 3) % n] = True
        if width <= WIDEST_DEG and fresh and left + right + 1 < n:
            middle = (around[span[0]] + (width - step) / 2) % 360.0
            foot = _foot(sign * high, peak - left, peak + right, threshold / 2.0)
            found.append(Feature(number, middle, float(width), _height(high[span]), mine[foot], mine[span]))
    return found


def _carries(high: Floats, start: int, direction: int, sign: float, half: float) -> bool:
    n = len(high)
    return bool(sign * high[start % n] > half or sign * high[(start + direction) % n] > half)


def _foot(high: Floats, first: int, last: int, least: float) -> NDArray[np.intp]:
    """Return the places from foot to foot of a feature: up to half its width more on a side, at least one."""
    n, reach = len(high), max(1, (last - first + 1) // 2)
    left, right = first - 1, last + 1
    while first - left < reach and high[left % n] > least:
        left -= 1
    while right - last < reach and high[right % n] > least:
        right += 1
    return np.unique(np.arange(left, right + 1) % n)
