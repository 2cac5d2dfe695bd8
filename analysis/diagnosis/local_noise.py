"""Noise between neighbouring readings, which neither a ridge nor a step inflates. Knows nothing of turns."""

import math

import numpy as np

from analysis.capture import Floats

_KEPT = 0.95
"""Share of the differences that is kept: the rest are edges of bumps, jumps and gaps."""
_KEPT_VARIANCE = 0.758788
"""Variance of a standard normal number cut off at its 0.025 and 0.975 quantiles (closed form)."""


def noise_floor(reading_mm: Floats, noise_mm: float, resolution_mm: float = 0.0) -> float:
    """Return the standard deviation that neighbours show, their rounding in it, in mm.

    From differences between neighbours, the largest one in twenty left out; never under what rounding alone
    makes, q / sqrt 12, and never above the stated noise, which is a fit's residual. Parameters: readings in
    the order taken, less their form where it is known, shape (n,). Own derivation: the median of such
    differences is 0 where the step of the gauge is coarse.
    """
    differences = np.diff(reading_mm)
    if not len(differences):
        return noise_mm
    away = np.sort(np.abs(differences - np.median(differences)))
    kept = away[: max(1, math.floor(_KEPT * len(away)))]
    local = math.sqrt(float(np.mean(kept**2)) / (2.0 * _KEPT_VARIANCE))
    local = max(local, resolution_mm / math.sqrt(12.0))
    return min(noise_mm, local) if local > 0.0 else noise_mm
