"""The first order of a sweep with its uncertainty: plain wobble or eccentricity, and its high side."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import HarmonicFit
from analysis.numerics import coverage_interval, normal_quantile, propagate, t_quantile
from analysis.uncertainty.range_inversion import invert_first

Floats = NDArray[np.float64]
TWO_PI = 2 * math.pi


@dataclass(frozen=True, slots=True)
class FirstOrder:
    """tir_first = 2 A_1 and its high side. mm, rad. Budget lines that are not random are not in it."""

    tir_first_mm: float
    u_mm: float
    """Standard uncertainty of tir_first."""
    low_mm: float
    high_mm: float
    low_one_sided_mm: float
    high_one_sided_mm: float
    high_side_rad: float
    """arg z_1 in [0, 2 pi)."""
    u_high_side_rad: float
    high_side_low_rad: float
    """Lower end of its 95 % interval; may be negative."""
    high_side_high_rad: float
    """Upper end of its 95 % interval; may exceed 2 pi."""


def first_interval(
    fit: HarmonicFit,
    covariance_mm2: Floats,
    dof: float,
    draws_mm: Floats,
    fixed_half_width_mm: float = 0.0,
    *,
    counted: bool = False,
) -> FirstOrder:
    """Return tir_first with its interval by inversion of draws, and the high side by Student's t.

    Parameters: the fit, the covariance of its coefficients (2H, 2H) with the degrees of freedom of its first
    order, and draws of their errors (D, 2H); ``fixed_half_width_mm`` joins each half-width of tir_first in
    quadrature (steps coarser than the noise). ``counted`` takes the high side's interval from the draws too:
    where a few of them lie far out, no multiple of the standard uncertainty holds 95 %.
    """
    pair = fit.coefficients_mm[:2]
    amplitude = math.hypot(*pair)
    u_amplitude, u_phase = polar_uncertainties(fit, covariance_mm2)
    value = 2 * amplitude
    limits = np.zeros(5)
    if amplitude > 0:
        along = pair / amplitude
        turned = draws_mm[:, :2] @ np.array([[along[0], -along[1]], [along[1], along[0]]])
        limits = invert_first(value, turned)
    low, low_one, _, high_one, high = (
        max(0.0, value + math.copysign(math.hypot(limit - value, fixed_half_width_mm), sign))
        for limit, sign in zip(limits, (-1, -1, 1, 1, 1), strict=True)
    )
    u = math.hypot(2 * float(u_amplitude[0]), fixed_half_width_mm / normal_quantile(0.975))
    side = fit.high_place_rad(1)
    half = min(math.pi, t_quantile(0.975, dof) * float(u_phase[0]))
    below, above = half, half
    if counted and amplitude > 0:
        # Draws are of the error: the truth lies as far on the other side of the estimate.
        error = draws_mm[:, 0] + 1j * draws_mm[:, 1]
        low_off, high_off = coverage_interval(-np.angle(1.0 + error / complex(*pair)))
        below, above = max(0.0, -low_off), max(0.0, high_off)
    return FirstOrder(
        tir_first_mm=value,
        u_mm=u,
        low_mm=low,
        high_mm=high,
        low_one_sided_mm=low_one,
        high_one_sided_mm=high_one,
        high_side_rad=side,
        u_high_side_rad=float(u_phase[0]),
        high_side_low_rad=side - below,
        high_side_high_rad=side + above,
    )


def polar_uncertainties(fit: HarmonicFit, covariance_mm2: Floats) -> tuple[Floats, Floats]:
    """Return u(A_n) in mm and u(arg z_n) in rad, at most pi, of each order, shape (H,) each."""
    u_amplitude, u_phase = np.zeros(fit.highest_order), np.full(fit.highest_order, math.pi)
    for n in range(fit.highest_order):
        block = covariance_mm2[2 * n : 2 * n + 2, 2 * n : 2 * n + 2]
        a, b = float(fit.cos_mm[n]), float(fit.sin_mm[n])
        size = math.hypot(a, b)
        if size == 0.0:
            u_amplitude[n] = math.sqrt(float(np.trace(block)) / 2)
            continue
        u_amplitude[n] = math.sqrt(max(0.0, float(propagate([a / size, b / size], block))))
        across = math.sqrt(max(0.0, float(propagate([-b / size, a / size], block))))
        u_phase[n] = min(math.pi, across / size)
    return u_amplitude, u_phase
