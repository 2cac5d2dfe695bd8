"""From coefficients and draws of their errors to the TIR of the part with its limits.

The true shape is not known, so three are tried that could be behind the fit, and the widest limits of
the three are taken.
"""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.harmonics import HarmonicFit
from analysis.numerics import Limits, UncertainNumber, f_upper_tail
from analysis.uncertainty.range_inversion import curves, grid_points, invert_range

Floats = NDArray[np.float64]

DRAWS = 4000
_SMALLER = (0.5, 0.25)
_CLEAR_P = 0.001
_KNOWN_EXACTLY_MM = 1e-12
_MOST_DOF = 1e6


def draw_errors(covariance_mm2: Floats, dof: float, rng: np.random.Generator) -> Floats:
    """Return draws of Student's t with this covariance as its scale, shape (DRAWS, 2H), mm."""
    values, axes = np.linalg.eigh(covariance_mm2)
    root = axes * np.sqrt(np.maximum(values, 0.0))
    normal = rng.standard_normal((DRAWS, len(covariance_mm2))) @ root.T
    if dof > _MOST_DOF:
        return np.asarray(normal)
    return np.asarray(normal / np.sqrt(rng.chisquare(dof, (DRAWS, 1)) / dof))


def tir_limits(
    fit: HarmonicFit, covariance_mm2: Floats, dof: float, draws_mm: Floats, *, too_wide: bool = False
) -> UncertainNumber:
    """Return the TIR of the part behind a fit, bias taken out, with its limits.

    Parameters: the fit; the covariance of its coefficients (2H, 2H) with its degrees of freedom, by which
    orders are told from noise; draws of their errors (D, 2H). ``too_wide``: the draws' size comes from a few
    turns and may be too large: turns that stand opposite one another differ by far more than their mean is
    off. What such draws make of nothing would be taken off a part that is there, so that draws of half and
    of a quarter of their size are asked too, and of none: then the TIR is what was read.
    """
    if fit.tir_mm == 0.0:
        return UncertainNumber(0.0)
    shapes = _shapes(fit, covariance_mm2, dof)
    heights = np.ptp(curves(draws_mm, grid_points(fit.highest_order)), axis=1)
    found = _inverted(fit, shapes, draws_mm, heights)
    low, high = found.min(axis=0), found.max(axis=0)
    # The rough shape is there for the upper limit: the estimate is the mean of the other two.
    estimate = float(found[:-1, 2].mean())
    for scale in _SMALLER if too_wide else ():
        smaller = _inverted(fit, shapes, scale * draws_mm, scale * heights)
        if high[4] <= 0.0:
            estimate = float(smaller[:-1, 2].mean())
        low, high = np.minimum(low, smaller.min(axis=0)), np.maximum(high, smaller.max(axis=0))
    if too_wide:
        low, high = np.minimum(low, fit.tir_mm), np.maximum(high, fit.tir_mm)
    limits = Limits(
        (min(float(low[0]), estimate), max(float(high[4]), estimate)),
        (min(float(low[1]), estimate), max(float(high[3]), estimate)),
    )
    return UncertainNumber(estimate, limits=limits)


def _inverted(fit: HarmonicFit, shapes: list[Floats], draws_mm: Floats, heights_mm: Floats) -> Floats:
    """Return the limits by each shape, shape (shapes, levels); the heights are those of the drawn curves."""
    return np.array([invert_range(fit.tir_mm, shape, draws_mm, heights_mm) for shape in shapes])


def without_order_one(fit: HarmonicFit) -> HarmonicFit:
    """Return the fit with its first order taken out: its max - min is the form."""
    cos_mm, sin_mm = fit.cos_mm.copy(), fit.sin_mm.copy()
    cos_mm[0] = sin_mm[0] = 0.0
    return replace(fit, cos_mm=cos_mm, sin_mm=sin_mm)


def form_limits(
    fit: HarmonicFit, covariance_mm2: Floats, dof: float, draws_mm: Floats, *, too_wide: bool = False
) -> UncertainNumber:
    """Return the form of the part behind a fit: as ``tir_limits``, order 1 out of shape and draws."""
    if fit.highest_order < 2:
        return UncertainNumber(0.0)
    draws = draws_mm.copy()
    draws[:, :2] = 0.0
    return tir_limits(without_order_one(fit), covariance_mm2, dof, draws, too_wide=too_wide)


def limits_of_curve(
    cos_mm: ArrayLike, sin_mm: ArrayLike, covariance_mm2: ArrayLike, dof: float, seed: int = 1
) -> UncertainNumber:
    """Return the TIR of a curve put together from several sweeps, bias taken out, with its limits.

    Parameters: coefficients a_n and b_n (mm), shape (H,) each; covariance of a1, b1, a2, ..., (2H, 2H), with
    its degrees of freedom. By the same inversion as one sweep's; a curve known exactly has no width.
    """
    cos, sin = np.asarray(cos_mm, np.float64), np.asarray(sin_mm, np.float64)
    covariance = np.asarray(covariance_mm2, np.float64)
    fit = HarmonicFit(len(cos), 0.0, None, cos, sin, covariance, math.nan, 1, (), np.empty(0), 1.0)
    if not np.any(np.diag(covariance) > _KNOWN_EXACTLY_MM**2):
        return UncertainNumber(fit.tir_mm)
    draws = draw_errors(covariance, dof, np.random.default_rng(seed))
    return tir_limits(fit, covariance, min(dof, _MOST_DOF), draws)


def _shapes(fit: HarmonicFit, covariance: Floats, dof: float) -> list[Floats]:
    """Return parts that could be behind the fit: the clear orders only, every order shrunk, and all of it.

    Too smooth a shape has equal peaks where the part has one, too rough a shape the reverse: between them
    lies the part.
    """
    pairs = fit.coefficients_mm.reshape(-1, 2)
    power = fit.amplitude_mm**2
    variance = np.maximum(np.diag(covariance).reshape(-1, 2).mean(axis=1), 1e-300)
    by_chance = np.array([f_upper_tail(each, 2, dof) for each in power / (2 * variance)])
    clear = by_chance < _CLEAR_P
    clear[int(np.argmin(by_chance))] = True
    shrunk = np.maximum(0.0, 1 - 2 * variance / np.maximum(power, 1e-300))
    return [(pairs * kept[:, None]).ravel() for kept in (clear, shrunk, np.ones_like(shrunk)) if kept.any()]
