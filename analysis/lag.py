"""How late the gauge is, told by turning that is not even.

A gauge late by tau shows at time t the surface that stood under the tip at t - tau. Where the speed changes
within the sweep this differs from a turned curve, so tau can be found; where it does not, nothing tells.
"""

import math
from dataclasses import dataclass

import numpy as np

from analysis.errors import NotDecidable
from analysis.harmonics import fit_harmonics
from analysis.samples import Floats

LATEST_S = 0.5
"""No indicator in use is later than this."""
TRUSTED_U_S = 0.02
"""A lag known less well than this is not told."""
_STEP_S = 0.02
_ORDERS = 4


@dataclass(frozen=True, slots=True)
class Lag:
    """Delay of the gauge."""

    lag_s: float
    u_s: float
    """Standard uncertainty."""


def find_lag(reading_mm: Floats, t_s: Floats, course_t_s: Floats, course_rad: Floats) -> Lag | None:
    """Return the delay of the gauge, None where the speed changed too little to tell.

    Parameters: readings and times of the new values, shape (n,); times and angles of all samples,
    shape (m,), times rising: where the part was at any time. One-dimensional least squares over orders 1 to
    4: the residual sum of squares against tau, its lowest point by a parabola, u from its curvature.
    """
    if len(reading_mm) < 40:
        return None
    tried = np.arange(0.0, LATEST_S + _STEP_S / 2, _STEP_S)
    try:
        rss = np.array([_rss(tau, reading_mm, t_s, course_t_s, course_rad) for tau in tried])
    except NotDecidable:
        return None
    best = min(max(int(np.argmin(rss)), 1), len(tried) - 2)
    low, middle, high = rss[best - 1 : best + 2]
    curvature = low - 2.0 * middle + high
    if curvature <= 0.0:
        return None
    shift = 0.5 * (low - high) / curvature
    lag = float(tried[best] + shift * _STEP_S)
    variance = float(middle) / (len(reading_mm) - 2 * _ORDERS - 2)
    # RSS(tau) = RSS_min + (tau - lag)^2 sigma^2 / u^2.
    u = math.sqrt(2.0 * variance * _STEP_S**2 / curvature)
    if u > TRUSTED_U_S:
        return None
    return Lag(max(0.0, lag), u)


def _rss(tau: float, reading: Floats, t_s: Floats, course_t_s: Floats, course_rad: Floats) -> float:
    angle = np.interp(t_s - tau, course_t_s, course_rad)
    fit = fit_harmonics(angle, reading, highest_order=_ORDERS)
    return float(fit.residual_mm @ fit.residual_mm)
