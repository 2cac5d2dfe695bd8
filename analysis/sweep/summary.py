"""The named numbers of a fitted sweep, all turns together, each with its uncertainty."""

import math
from dataclasses import replace

import numpy as np

from analysis.decision import typed_estimate
from analysis.harmonics import HarmonicFit
from analysis.numerics import OrderVectors, t_quantile
from analysis.results import OrderResult, SweepSummary
from analysis.setup import Surface
from analysis.sweep.fitting import FittedSweep
from analysis.sweep.quantities import asynchronous_of_noise, clock_tir_mm, synchronous_asynchronous
from analysis.uncertainty import BudgetLine

_UNKNOWN_DEG = 180.0
"""Half-width of an angle of which nothing is known."""


def summarise(f: FittedSweep) -> SweepSummary:
    """Return the pooled numbers of a fitted sweep."""
    fit, uncertainty, setup = f.fit, f.uncertainty, f.capture.setup
    values, turn = f.pool.values, f.pool.turn
    tir, interval = _tir(f)
    amplitude = float(fit.amplitude_mm[0])
    first_u, first_interval = 0.0, (2.0 * amplitude, 2.0 * amplitude)
    side_deg, high_deg = math.degrees(fit.high_place_rad(1)), math.degrees(fit.high_point_rad)
    low_deg = math.degrees(fit.low_point_rad)
    if f.few_places:
        # Of so few places no curve is believed: the high point is the place that reads highest.
        deg = np.degrees(np.mod(values.angle_rad, 2.0 * math.pi))
        high_deg = float(deg[int(np.argmax(values.reading_mm))])
        low_deg = float(deg[int(np.argmin(values.reading_mm))])
    side_u = _UNKNOWN_DEG
    side_ends = (side_deg - _UNKNOWN_DEG, side_deg + _UNKNOWN_DEG)
    high_ends = (high_deg - _UNKNOWN_DEG, high_deg + _UNKNOWN_DEG)
    if uncertainty is not None:
        first = uncertainty.first
        first_u, first_interval = first.u_mm, (first.low_mm, first.high_mm)
        side_u = math.degrees(first.u_high_side_rad)
        side_ends = (math.degrees(first.high_side_low_rad), math.degrees(first.high_side_high_rad))
        if not f.few_places:
            high_ends = (
                math.degrees(uncertainty.high_point_low_rad),
                math.degrees(uncertainty.high_point_high_rad),
            )
    if f.u_angle_rad > 0.0:
        u_deg = math.degrees(f.u_angle_rad)
        side_u = math.hypot(side_u, u_deg)
        side_ends, high_ends = _widened(side_ends, side_deg, u_deg), _widened(high_ends, high_deg, u_deg)
    off = _first_order_off_mm(fit, f.capture.u_angle_rad)
    if f.few_places:
        # Few readings may fit a wobble to the last written digit, which is still unsure.
        digit = f.digit_mm / math.sqrt(6.0 * len(values))
        # The scatter's own interval has the resolution in it already.
        off = off if uncertainty else math.hypot(off, 2.0 * digit)
        u_deg = math.degrees(math.atan2(digit, amplitude))
        side_u, side_ends = math.hypot(side_u, u_deg), _widened(side_ends, side_deg, u_deg)
    if off > 0.0:
        first_u = math.hypot(first_u, off)
        first_interval = _widened_length(
            first_interval, uncertainty.first.tir_first_mm if uncertainty else 2.0 * amplitude, off
        )
    dof = uncertainty.dof if uncertainty else 0.0
    radial = setup.surface != Surface.FACE
    detrended = f.detrended_mm
    edges = np.searchsorted(turn, np.arange(1, len(f.turns)))
    synchronous, asynchronous = synchronous_asynchronous(
        list(zip(np.split(values.angle_rad, edges), np.split(detrended, edges), strict=True)),
        remove_first_order=radial,
    )
    return SweepSummary(
        turns=len(f.turns),
        highest_order=fit.highest_order,
        tir_raw_mm=float(np.median([one.tir_raw_mm for one in f.turns])),
        tir_fit_mm=tir,
        u_tir_fit_mm=(interval[1] - interval[0]) / (2.0 * t975(dof)),
        tir_fit_95_mm=interval,
        tir_first_mm=uncertainty.first.tir_first_mm if uncertainty else 2.0 * amplitude,
        u_tir_first_mm=first_u,
        tir_first_95_mm=first_interval,
        high_point_deg=high_deg,
        high_point_95_deg=high_ends,
        low_point_deg=low_deg,
        high_side_deg=side_deg,
        u_high_side_deg=side_u,
        high_side_95_deg=side_ends,
        eccentricity_mm=amplitude if radial else None,
        centre_deg=_centre_deg(setup.surface, side_deg),
        tilt_mrad=1000.0 * amplitude / setup.track_radius_mm
        if setup.track_radius_mm and not radial
        else None,
        form_mm=without_order_one(fit).tir_mm,
        synchronous_mm=synchronous,
        asynchronous_mm=asynchronous,
        asynchronous_of_noise_mm=asynchronous_of_noise(len(f.turns), f.noise_mm, f.seed),
        drift_mm_per_s=fit.drift_mm_per_s if f.capture.timed else None,
        closure_mm=f.closure_mm,
        noise_mm=f.noise_mm,
        dof=dof,
        clock=clock_tir_mm(fit),
        orders=tuple(_orders(f)),
    )


def _first_order_off_mm(fit: HarmonicFit, u_angle_rad: float) -> float:
    """Return the standard uncertainty of tir_first that uneven turning makes.

    Angles bent by u once a turn take A_1 u^2 / 2 from order 1 and bring n A_n u / 2 of each order into its
    neighbours: of order 2 into order 1.
    """
    amplitudes = fit.amplitude_mm
    second = float(amplitudes[1]) if len(amplitudes) > 1 else 0.0
    return 2.0 * (float(amplitudes[0]) * u_angle_rad**2 / 2.0 + second * u_angle_rad)


def _widened_length(ends: tuple[float, float], middle: float, u_mm: float) -> tuple[float, float]:
    reach = 1.959964 * u_mm
    low, high = math.hypot(middle - ends[0], reach), math.hypot(ends[1] - middle, reach)
    return max(0.0, middle - low), middle + high


def _widened(ends: tuple[float, float], middle: float, u_deg: float) -> tuple[float, float]:
    """Return an angle interval with another standard uncertainty added in quadrature to each half."""
    reach = 1.959964 * u_deg
    return (
        middle - min(_UNKNOWN_DEG, math.hypot(middle - ends[0], reach)),
        middle + min(_UNKNOWN_DEG, math.hypot(ends[1] - middle, reach)),
    )


def _tir(f: FittedSweep) -> tuple[float, tuple[float, float]]:
    """Return the fitted TIR and its interval; that of few places reaches up to what it cannot rule out.

    What the fit of few places leaves is form more than noise: no bias is taken out of it.
    """
    uncertainty = f.uncertainty
    if uncertainty is not None and not f.few_places:
        return uncertainty.tir_mm, (uncertainty.low_mm, uncertainty.high_mm)
    estimate, upper = typed_estimate(f.pool.values.angle_rad, f.pool.values.reading_mm, f.digit_mm)
    low, high = estimate.interval_mm
    tir = f.fit.tir_mm
    return tir, (min(low, tir), max(high, tir, upper if math.isfinite(upper) else high))


def _centre_deg(surface: Surface, high_side_deg: float) -> float | None:
    """Return the side the centre lies on: where an outside reads high, opposite to where a bore does."""
    return {Surface.OUTSIDE: high_side_deg, Surface.BORE: (high_side_deg + 180.0) % 360.0}.get(surface)


def _orders(f: FittedSweep) -> list[OrderResult]:
    uncertainty, fit = f.uncertainty, f.fit
    return [
        OrderResult(
            n=n,
            cos_mm=float(fit.cos_mm[n - 1]),
            sin_mm=float(fit.sin_mm[n - 1]),
            u_mm=float(np.sqrt(np.mean(uncertainty.u_coefficients_mm[n - 1] ** 2))) if uncertainty else 0.0,
            amplitude_mm=float(fit.amplitude_mm[n - 1]),
            u_amplitude_mm=float(uncertainty.u_amplitude_mm[n - 1]) if uncertainty else 0.0,
            high_deg=math.degrees(fit.high_place_rad(n)),
            u_deg=math.degrees(float(uncertainty.u_high_place_rad[n - 1]))
            if uncertainty
            else _UNKNOWN_DEG / n,
        )
        for n in range(1, fit.highest_order + 1)
    ]


def budget_lines(f: FittedSweep) -> list[BudgetLine]:
    """Return the whole budget of the TIR, the random line first."""
    uncertainty = f.uncertainty
    if f.few_places or uncertainty is None:
        return [BudgetLine("last written digit", f.digit_mm / math.sqrt(6.0), None)]
    random = (uncertainty.random_half_width_low_mm + uncertainty.random_half_width_high_mm) / (
        2.0 * t975(uncertainty.dof)
    )
    # One turn has no turn to differ from: what may be hidden in it is in this line too.
    lines = [
        BudgetLine("turn to turn" if uncertainty.turns > 1 else "one turn by itself", random, uncertainty.dof)
    ]
    if uncertainty.resolution_half_width_mm > 0:
        lines.append(BudgetLine("resolution limits this", uncertainty.resolution_half_width_mm / 1.96, None))
    return [*lines, *f.other]


def pooled_vectors(f: FittedSweep) -> OrderVectors:
    """Return all orders of the pooled fit with their covariance, the angle's own uncertainty included.

    Where so few readings leave nothing to judge scatter by, the last written digit stands in for it, as
    2 s^2 / N of each component.
    """
    fit, uncertainty = f.fit, f.uncertainty
    if uncertainty is not None:
        known = OrderVectors(fit.vectors_mm, uncertainty.covariance_mm2, max(uncertainty.dof, 1.0))
    else:
        variance = 2.0 * f.digit_mm**2 / 12.0 / max(f.pool.places, 1)
        known = OrderVectors(fit.vectors_mm, variance * np.eye(2 * fit.highest_order))
    return known.with_angle(f.u_angle_rad)


def without_order_one(fit: HarmonicFit) -> HarmonicFit:
    """Return the fit with its first order taken out: its max - min is the form."""
    cos_mm, sin_mm = fit.cos_mm.copy(), fit.sin_mm.copy()
    cos_mm[0] = sin_mm[0] = 0.0
    return replace(fit, cos_mm=cos_mm, sin_mm=sin_mm)


def t975(dof: float) -> float:
    """Return Student's t for a two-sided 95 % interval; below one degree of freedom the normal one."""
    return t_quantile(0.975, dof if dof >= 1 else math.inf)
