"""From a fitted curve and the scatter of its coefficients to an interval for the TIR of the part.

max - min of a fitted curve is always too large, because noise adds to the peaks and to the valleys. So the
question is turned round: which true TIR would show a max - min as large as the one seen, how often? A
family of parts k f (one shape f, any height k) is tried with drawn errors e, and P(k) is the share of draws
with max - min of k f + e at least as large as observed. The lower limit is where P = .025, the estimate
where P = .5, the upper limit where P = .975; the one-sided 95 % limits where P = .05 and .95.

The true shape is not known, only shapes near it. Which shapes are tried is the caller's choice.
"""

import math

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import harmonic_rows
from analysis.numerics import on_grid

Floats = NDArray[np.float64]

LEVELS = (0.0225, 0.045, 0.5, 0.955, 0.9775)
_NEWTON_STEPS = 12
_DRAWS_AT_ONCE = 500
"""So many curves stay in a core's cache."""
_MOST_POINTS = 8192
_GRID_ERROR = 0.05
"""How far a peak may stand above the nearest point looked at, in standard deviations of the curve there."""


def grid_points(highest_order: int) -> int:
    """Return the number of angles on which drawn curves are looked at: a power of two, 8 an order or more."""
    return 1 << max(5, (8 * highest_order - 1).bit_length())


def curves(coefficients_mm: Floats, points: int) -> Floats:
    """Return curves on a grid from coefficients a1, b1, a2, ... along the last axis."""
    return on_grid(coefficients_mm[..., 0::2], coefficients_mm[..., 1::2], points)


def invert_range(observed_mm: float, shape_mm: Floats, draws_mm: Floats, heights_mm: Floats) -> Floats:
    """Return the TIR of k f at which P(k) passes each of LEVELS, shape (5,), mm.

    Parameters: ``observed_mm`` exact max - min of the fitted curve; coefficients of the shape f, (2H,), not
    all zero; drawn errors of the coefficients, (D, 2H), and max - min of each of those drawn curves, (D,).
    Zero where P(0) already exceeds the level.
    """
    f, errors = _where_it_matters(observed_mm, shape_mm, draws_mm, float(heights_mm.max()))
    above = heights_mm >= observed_mm
    # Of a part far higher than any noise the extremes are those of f: the first step from there.
    high, low = int(f.argmax()), int(f.argmin())
    upper = _root(observed_mm, f, errors, observed_mm - errors[:, high] + errors[:, low])
    lower = np.full(len(errors), -np.inf)
    if above.any():
        lower[above] = _root(observed_mm, f, errors[above], np.zeros(int(above.sum())), rising=False)
    return _limits(upper, lower, above)


def invert_first(observed_mm: float, draws_mm: Floats) -> Floats:
    """Return 2 A_1 at each of LEVELS, shape (5,), mm, where 2 A_1 = ``observed_mm`` was seen.

    Parameters: errors drawn of the component along the vector seen and across it, shape (D, 2). For one
    order, max - min is twice a length, so that the ends are the roots of a square.
    """
    along, across = draws_mm[:, 0], draws_mm[:, 1]
    square = (observed_mm / 2) ** 2 - across**2
    half = np.sqrt(np.where(square >= 0, square, np.nan))
    above = np.hypot(along, across) >= observed_mm / 2
    upper, lower = 2 * (half - along), np.where(above, 2 * (-half - along), -np.inf)
    # Both roots negative: above the observed value for every height there can be.
    return _limits(np.where(upper >= 0, upper, np.nan), lower, above)


def _where_it_matters(
    observed: float, shape: Floats, draws: Floats, furthest: float
) -> tuple[Floats, Floats]:
    """Return f with height 1 and the drawn errors on those angles that can hold an extreme of k f + e.

    The grid is as fine as the noise asks for: on a coarse one, equal lobes would stand unequally high.
    Where the part stands well out of the noise only the neighbourhoods of its extremes are left.
    """
    orders = np.repeat(np.arange(1, len(shape) // 2 + 1), 2)
    bend = float(np.sum(orders**2 * np.abs(shape)))
    scatter = math.sqrt(float(np.mean(np.sum(draws**2, axis=1))) / 2)
    finest = math.sqrt(bend / (8 * max(_GRID_ERROR * scatter, 1e-12 * bend)))
    points = min(
        _MOST_POINTS,
        max(grid_points(len(shape) // 2), 1 << max(0, math.ceil(math.log2(2 * math.pi * finest)))),
    )
    f = curves(shape, points)
    height = float(np.ptp(f))
    f = f / height
    least = max(0.0, observed - furthest)
    kept = (least * (f.max() - f) <= furthest) | (least * (f - f.min()) <= furthest)
    place = np.flatnonzero(kept) * (2 * math.pi / points)
    return f[kept], draws @ harmonic_rows(np.asarray(place, np.float64), len(shape) // 2)[1:]


def _root(observed: float, f: Floats, errors: Floats, k: Floats, rising: bool = True) -> Floats:
    """Return the k where max - min of k f + e crosses ``observed``, from right or left; NaN for never.

    max - min of k f + e is a convex function of k, so that Newton's steps never pass the crossing.
    """
    roots = np.empty(len(k))
    for start in range(0, len(k), _DRAWS_AT_ONCE):
        some = slice(start, start + _DRAWS_AT_ONCE)
        roots[some] = _root_of_some(observed, f, errors[some], k[some], rising)
    return roots


def _root_of_some(observed: float, f: Floats, errors: Floats, k: Floats, rising: bool) -> Floats:
    k = k.copy()
    active = np.arange(len(errors))
    # Where the extremes lie is told by seven digits; how high they stand is then taken in full.
    coarse_f, coarse = f.astype(np.float32), errors.astype(np.float32)
    for _ in range(_NEWTON_STEPS):
        curve = np.multiply.outer(k[active].astype(np.float32), coarse_f)
        curve += coarse if len(active) == len(errors) else coarse[active]
        high, low = curve.argmax(axis=1), curve.argmin(axis=1)
        slope = f[high] - f[low]
        excess = k[active] * slope + errors[active, high] - errors[active, low] - observed
        lost = slope <= 1e-12 if rising else slope >= -1e-12
        step = np.where(lost, np.nan, excess / np.where(lost, 1.0, slope))
        k[active] -= step
        active = active[~lost & (np.abs(step) > 1e-6 * observed)]
        if not len(active):
            break
    return k


def _limits(upper: Floats, lower: Floats, above_at_zero: NDArray[np.bool_]) -> Floats:
    """Return the k at each of LEVELS; each draw is below what was seen between ``lower`` and ``upper``."""
    draws = len(upper)
    never = np.isnan(upper) | np.isnan(lower)
    ends = np.sort(np.where(never, -np.inf, upper))
    starts = np.sort(np.where(never, -np.inf, lower))
    share = (np.arange(1, draws + 1) + draws - np.searchsorted(starts, ends, side="right")) / draws
    limits = np.zeros(len(LEVELS))
    for i, level in enumerate(LEVELS):
        if above_at_zero.mean() <= level:
            limits[i] = max(0.0, float(ends[int(np.argmax(share >= level))]))
    return limits
