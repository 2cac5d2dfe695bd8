"""From a fitted curve and the scatter of its coefficients to an interval for the TIR of the part.

max - min of a fitted curve is always too large, because noise adds to the peaks and to the valleys. So the
question is turned round: which true TIR would show a max - min as large as the one seen, how often? A
family of parts k f (one shape f, any height k) is tried with drawn errors e, and P(k) is the share of draws
with max - min of k f + e at least as large as observed. The lower limit is where P = .025, the estimate
where P = .5, the upper limit where P = .975; the one-sided 95 % limits where P = .05 and .95.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.extremes import on_grid

Floats = NDArray[np.float64]

LEVELS = (0.025, 0.05, 0.5, 0.95, 0.975)
_NEWTON_STEPS = 12


@dataclass(frozen=True, slots=True)
class RangeLimits:
    """An estimate of the TIR with its limits, mm."""

    low_mm: float
    low_one_sided_mm: float
    estimate_mm: float
    high_one_sided_mm: float
    high_mm: float


def grid_points(highest_order: int) -> int:
    """Return the number of angles on which drawn curves are looked at: a power of two, 8 an order or more."""
    return 1 << max(5, (8 * highest_order - 1).bit_length())


def curves(coefficients_mm: Floats, points: int) -> Floats:
    """Return curves on a grid from coefficients a1, b1, a2, ... along the last axis."""
    return on_grid(coefficients_mm[..., 0::2], coefficients_mm[..., 1::2], points)


def invert_range(observed_mm: float, shape: Floats, errors: Floats) -> Floats:
    """Return the TIR of k f at which P(k) passes each of LEVELS, shape (5,), mm.

    Parameters: ``observed_mm`` max - min of the fitted curve on the grid; ``shape`` f on the grid, (M,);
    ``errors`` drawn errors on the grid, (D, M). Zero where P(0) already exceeds the level.

    max - min of k f + e is a convex function of k, so each draw lies below the observed value on one
    interval of k at most; Newton's steps find its two ends.
    """
    height = float(np.ptp(shape))
    if height <= 0.0:
        raise ValueError("a shape of no height cannot be scaled: give it at least the first order")
    f = shape / height
    draws = len(errors)
    at_zero = np.ptp(errors, axis=1)
    above_at_zero = at_zero >= observed_mm
    upper = _root(observed_mm, f, errors, (observed_mm + at_zero) * 1.0000001)
    lower = np.full(draws, -np.inf)
    if above_at_zero.any():
        lower[above_at_zero] = _root(
            observed_mm, f, errors[above_at_zero], np.zeros(int(above_at_zero.sum())), rising=False
        )
    never = np.isnan(upper) | np.isnan(lower)
    ends = np.sort(np.where(never, -np.inf, upper))
    starts = np.sort(np.where(never, -np.inf, lower))
    # Share of draws above the observed value just past each end.
    share = (np.arange(1, draws + 1) + draws - np.searchsorted(starts, ends, side="right")) / draws
    limits = np.zeros(len(LEVELS))
    for i, level in enumerate(LEVELS):
        if above_at_zero.mean() > level:
            continue
        past = int(np.argmax(share >= level))
        limits[i] = max(0.0, ends[past])
    return limits


def _root(observed: float, f: Floats, errors: Floats, k: Floats, rising: bool = True) -> Floats:
    """Return the k where max - min of k f + e crosses ``observed``, from right or left; NaN for never."""
    k = k.copy()
    rows = np.arange(len(errors))
    active = np.ones(len(errors), bool)
    for _ in range(_NEWTON_STEPS):
        where = rows[active]
        curve = k[where, None] * f + errors[where]
        high, low = curve.argmax(axis=1), curve.argmin(axis=1)
        at = np.arange(len(where))
        excess = curve[at, high] - curve[at, low] - observed
        slope = f[high] - f[low]
        lost = slope <= 1e-12 if rising else slope >= -1e-12
        step = np.where(lost, np.nan, excess / np.where(lost, 1.0, slope))
        k[where] -= step
        active[where] = ~lost & (np.abs(step) > 1e-6 * observed)
        if not active.any():
            break
    return k
