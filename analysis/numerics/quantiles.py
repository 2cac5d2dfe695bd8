"""Distributions, quantiles and tails of the normal, Student and Fisher distributions, over scipy.special.

scipy loads its parts when they are first named, which a command without an interval never does; scipy.stats
takes three times as long to load.
"""

import math

import numpy as np
import scipy
from numpy.typing import NDArray


def normal_quantile(p: float) -> float:
    """Return z with P(Z <= z) = p for a standard normal Z; p in (0, 1)."""
    return float(scipy.special.ndtri(_probability(p)))


def normal_cdf(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return P(Z <= x) for a standard normal Z, of every x."""
    return np.asarray(scipy.special.ndtr(x), np.float64)


def t_quantile(p: float, dof: float) -> float:
    """Return t with P(T <= t) = p for Student's T; ``dof`` > 0 may be infinite (then normal)."""
    _positive(dof)
    if math.isinf(dof):
        return normal_quantile(p)
    return float(scipy.special.stdtrit(dof, _probability(p)))


def f_upper_tail(f: float, d1: float, d2: float) -> float:
    """Return P(F > f) for Fisher's F with ``d1`` and ``d2`` degrees of freedom; ``d2`` may be infinite."""
    _positive(d1)
    _positive(d2)
    if math.isinf(d2):
        return float(scipy.special.chdtrc(d1, d1 * f))
    return float(scipy.special.fdtrc(d1, d2, f))


def _probability(p: float) -> float:
    if not 0.0 < p < 1.0:
        raise ValueError(f"probability {p!r} is not between 0 and 1: a quantile needs one that is")
    return p


def _positive(dof: float) -> None:
    if not dof > 0.0:
        raise ValueError(f"degrees of freedom {dof!r} are not above zero: take more readings")
