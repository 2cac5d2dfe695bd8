"""Quantiles and tails of the normal, Student and Fisher distributions, a number at a time."""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.numerics.incomplete_beta import beta_shares, log_beta, upper_gamma_share

_ROOT_2 = math.sqrt(2.0)
_STEPS = 200
"""More than halving a bracket of 1,400 needs."""


def normal_quantile(p: float) -> float:
    """Return z with P(Z <= z) = p for a standard normal Z; p in (0, 1)."""
    if _probability(p) == 0.5:
        return 0.0
    if p > 0.5:
        return -normal_quantile(1.0 - p)
    # Abramowitz and Stegun 26.2.22, good to 0.003; three steps of Halley's method leave rounding alone.
    t = math.sqrt(-2.0 * math.log(p))
    z = (2.30753 + 0.27061 * t) / (1.0 + t * (0.99229 + 0.04481 * t)) - t
    for _ in range(3):
        step = (_below(z) / p - 1.0) * p * math.sqrt(2.0 * math.pi) * math.exp(z * z / 2.0)
        z -= step / (1.0 + z * step / 2.0)
    return z


def normal_cdf(z: ArrayLike) -> NDArray[np.float64]:
    """Return P(Z <= z) for a standard normal Z, of every z."""
    return np.asarray(_every_below(z), np.float64)


def _below(z: float) -> float:
    return 0.5 * math.erfc(-z / _ROOT_2)


_every_below = np.frompyfunc(_below, 1, 1)


@lru_cache(maxsize=256)
def t_quantile(p: float, dof: float) -> float:
    """Return t with P(T <= t) = p for Student's T; ``dof`` > 0 may be infinite (then normal)."""
    _positive(dof)
    if math.isinf(dof):
        return normal_quantile(p)
    if _probability(p) == 0.5:
        return 0.0
    tail = min(p, 1.0 - p)
    # Newton's method on the logarithm of the tail over ln t, both nearly straight far out, inside a bracket.
    low, high = -700.0, 700.0
    at = math.log(_near_t(-normal_quantile(tail), dof))
    for _ in range(_STEPS):
        t = math.exp(at)
        beyond = _t_tail(t, dof)
        low, high = (at, high) if beyond > tail else (low, at)
        step = math.log(beyond / tail) * beyond / (t * _t_density(t, dof)) if beyond > 0.0 else -math.inf
        at = at + step if low <= at + step <= high else (low + high) / 2.0
        if abs(step) < 1e-9:  # what is left is its square
            break
    return math.copysign(math.exp(at), p - 0.5)


def f_upper_tail(f: float, d1: float, d2: float) -> float:
    """Return P(F > f) for Fisher's F with ``d1`` and ``d2`` degrees of freedom; ``d2`` may be infinite."""
    _positive(d1)
    _positive(d2)
    if math.isinf(f) or math.isnan(f):
        return 0.0 if f > 0.0 else math.nan
    if math.isinf(d2):
        return upper_gamma_share(d1 / 2.0, d1 * f / 2.0)
    all_of_it = d2 + d1 * f
    return beta_shares(d2 / all_of_it, d1 * f / all_of_it, d2 / 2.0, d1 / 2.0)[0]


def _near_t(z: float, dof: float) -> float:
    """Return about that t which has the tail of ``z``: Abramowitz and Stegun 26.7.5, poor under 3."""
    square = z * z
    g1 = (square + 1.0) / 4.0
    g2 = ((5.0 * square + 16.0) * square + 3.0) / 96.0
    g3 = (((3.0 * square + 19.0) * square + 17.0) * square - 15.0) / 384.0
    return z * max(1.0, 1.0 + (g1 + (g2 + g3 / dof) / dof) / dof)


def _t_tail(t: float, dof: float) -> float:
    """Return P(T > t), t > 0."""
    square = t * t
    if math.isinf(square):
        return 0.0
    return beta_shares(dof / (dof + square), square / (dof + square), dof / 2.0, 0.5)[0] / 2.0


def _t_density(t: float, dof: float) -> float:
    return math.exp(
        -(dof + 1.0) / 2.0 * math.log1p(t * t / dof) - log_beta(dof / 2.0, 0.5) - 0.5 * math.log(dof)
    )


def _probability(p: float) -> float:
    if not 0.0 < p < 1.0:
        raise ValueError(f"probability {p!r} is not between 0 and 1: a quantile needs one that is")
    return p


def _positive(dof: float) -> None:
    if not dof > 0.0:
        raise ValueError(f"degrees of freedom {dof!r} are not above zero: take more readings")
