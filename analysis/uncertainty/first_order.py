"""The first order of a sweep with its uncertainty: plain wobble or eccentricity, and its high side."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import HarmonicFit
from analysis.numerics import (
    Component,
    Limits,
    UncertainNumber,
    coverage_interval,
    normal_quantile,
    propagate,
    t_quantile,
)
from analysis.uncertainty.range_inversion import invert_first

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FirstOrderEstimate:
    """Order 1 of a curve: how much and which way."""

    tir_first: UncertainNumber
    """Twice the amplitude A_1, mm."""
    high_side: UncertainNumber
    """arg z_1 in degrees, 0 to 360; its limits may lie beyond."""


def first_interval(
    fit: HarmonicFit,
    covariance_mm2: Floats,
    dof: float,
    draws_mm: Floats,
    fixed_half_width_mm: float = 0.0,
    *,
    counted: bool = False,
) -> FirstOrderEstimate:
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
    low, low_one, _, high_one, high = (float(limit) for limit in limits)
    tir_first = UncertainNumber(
        value,
        {
            "scatter": Component(2 * float(u_amplitude[0]), dof),
            "resolution limits this": Component(fixed_half_width_mm / normal_quantile(0.975)),
        },
        limits=Limits((low, high), (low_one, high_one)).widened(
            value, fixed_half_width_mm, fixed_half_width_mm, least=0.0
        ),
        least=0.0,
    )
    side = fit.high_place_rad(1)
    half = min(math.pi, t_quantile(0.975, dof) * float(u_phase[0]))
    below, above = half, half
    if counted and amplitude > 0:
        # Draws are of the error: the truth lies as far on the other side of the estimate.
        error = draws_mm[:, 0] + 1j * draws_mm[:, 1]
        low_off, high_off = coverage_interval(-np.angle(1.0 + error / complex(*pair)))
        below, above = max(0.0, -low_off), max(0.0, high_off)
    high_side = UncertainNumber(
        math.degrees(side),
        {"scatter": Component(math.degrees(float(u_phase[0])), dof)},
        unit="deg",
        limits=Limits((math.degrees(side - below), math.degrees(side + above))),
        furthest=180.0,
    )
    return FirstOrderEstimate(tir_first, high_side)


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
