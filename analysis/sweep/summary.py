"""The named numbers of a fitted sweep, all turns together, each with its uncertainty."""

import math
from dataclasses import replace

import numpy as np

from analysis.decision import LAST_DIGIT, tir_of_few_places
from analysis.harmonics import HarmonicFit
from analysis.numerics import TRIANGULAR, Component, Limits, OrderVectors, UncertainNumber
from analysis.results import FormOf, LineResult, OrderResult, SweepSummary
from analysis.setup import Surface
from analysis.sweep.fitting import FittedSweep
from analysis.sweep.motion import asynchronous_of_noise, synchronous_of_noise
from analysis.sweep.quantities import clock_tir_mm
from analysis.uncertainty import Points, lines_of_form, t975, without_order_one

_UNKNOWN_DEG = 180.0
"""Half-width of an angle of which nothing is known."""
_UNKNOWN_FROM_RAD = math.radians(10.0)
"""A known lag whose own uncertainty turns the part by more tells no angle."""
_ORDER_UNKNOWN_FROM_RAD = math.radians(60.0)
"""The same of the phase of an order, which turns n times as far."""
LAG_NOT_KNOWN = "lag not known"


def summarise(f: FittedSweep, points: Points | None = None) -> SweepSummary:
    """Return the pooled numbers of a fitted sweep; ``points`` where few places were read."""
    fit, uncertainty, setup = f.fit, f.uncertainty, f.capture.setup
    low_deg = math.degrees(fit.low_point_rad)
    if f.few_places:
        # Of so few places no curve is believed: the low point is the place that reads lowest.
        low_deg = _place_deg(f, int(np.argmin(f.pool.values.reading_mm)))
    amplitude = float(fit.amplitude_mm[0])
    high_side = _high_side(f)
    radial = setup.surface != Surface.FACE
    wander = uncertainty.wander if uncertainty and uncertainty.wander.dof > 0 else None
    motion = f.pool.curves.motion(fit.drift_mm_per_s or 0.0, remove_first_order=radial)
    # One turn does not tell what repeats, and of few places nothing is believed between them.
    repeated = len(f.turns) > 1 and not f.few_places
    return SweepSummary(
        turns=len(f.turns),
        highest_order=fit.consecutive_orders,
        tir_raw_mm=float(np.median([one.tir_raw_mm for one in f.turns])),
        tir_fit=_tir(f),
        tir_first=_tir_first(f),
        high_point=_high_point(f),
        low_point_deg=low_deg,
        high_side=high_side,
        eccentricity_mm=amplitude if radial else None,
        centre_deg=_centre_deg(setup.surface, high_side.value),
        tilt_mrad=1000.0 * amplitude / setup.track_radius_mm
        if setup.track_radius_mm and not radial
        else None,
        form=points.form(seed=f.seed) if points else form_of_curve(f),
        form_of=FormOf.POINTS if points else FormOf.CURVE,
        points=len(points.reading_mm) if points else None,
        synchronous_mm=motion.synchronous_mm,
        asynchronous_mm=motion.asynchronous_mm,
        synchronous_95_mm=_of_motion(f, motion.synchronous_of_motion(f.local_noise_mm)) if repeated else None,
        asynchronous_95_mm=_of_motion(f, motion.asynchronous_of_motion(f.local_noise_mm))
        if repeated
        else None,
        synchronous_of_noise_mm=synchronous_of_noise(len(f.turns), f.noise_mm),
        asynchronous_of_noise_mm=asynchronous_of_noise(len(f.turns), f.noise_mm),
        drift_mm_per_s=fit.drift_mm_per_s if f.capture.timed else None,
        closure_mm=f.closure_mm,
        noise_mm=f.noise_mm,
        local_noise_mm=f.local_noise_mm,
        dof=uncertainty.dof if uncertainty else 0.0,
        clock=clock_tir_mm(fit),
        orders=tuple(_orders(f)),
        added_orders=fit.added_orders,
        order_seen_mm=f.above.seen_mm if math.isfinite(f.above.seen_mm) else None,
        orders_looked_for=f.above.looked_for,
        wander_mm=wander.mm if wander else None,
        wander_dof=wander.dof if wander else None,
        lag1=wander.lag1 if wander else None,
        lines=tuple(
            LineResult(line.order, line.amplitude_mm, ratio)
            for line, ratio in zip(
                fit.lines, uncertainty.line_predictions if uncertainty else (), strict=True
            )
        ),
    )


def form_of_curve(f: FittedSweep) -> UncertainNumber:
    """Return max - min of the curve without order 1, bias taken out, with the budget of this sweep alone."""
    uncertainty = f.uncertainty
    if uncertainty is None:
        digit = Component(f.digit_mm / math.sqrt(6.0), distribution=TRIANGULAR)
        return UncertainNumber(without_order_one(f.fit).tir_mm, {LAST_DIGIT: digit}, least=0.0)
    form, steps = uncertainty.form_by_scatter, uncertainty.resolution_half_width_mm
    if steps > 0.0 and form.limits is not None:
        form = replace(form, limits=form.limits.widened(form.value, steps, steps, least=0.0))
    for name, line in lines_of_form(f.other, form.value / max(f.fit.tir_mm, form.value, 1e-12)).items():
        form = form.with_part(name, line)
    return form


def _of_motion(f: FittedSweep, number: UncertainNumber) -> tuple[float, float]:
    """Return the 95 % interval of a max - min of motion, with the gauge's steps and this sweep's lines."""
    steps = f.uncertainty.resolution_half_width_mm if f.uncertainty else 0.0
    if steps > 0.0 and number.limits is not None:
        number = replace(number, limits=number.limits.widened(number.value, steps, steps, least=0.0))
    for name, line in lines_of_form(f.other, number.value / max(f.fit.tir_mm, number.value, 1e-12)).items():
        number = number.with_part(name, line)
    return number.interval()


def _first_order_off_mm(fit: HarmonicFit, u_angle_rad: float) -> float:
    """Return the standard uncertainty of tir_first that uneven turning makes.

    Angles bent by u once a turn take A_1 u^2 / 2 from order 1 and bring n A_n u / 2 of each order into its
    neighbours: of order 2 into order 1.
    """
    amplitudes = fit.amplitude_mm
    second = float(amplitudes[1]) if len(amplitudes) > 1 else 0.0
    return 2.0 * (float(amplitudes[0]) * u_angle_rad**2 / 2.0 + second * u_angle_rad)


def _tir(f: FittedSweep) -> UncertainNumber:
    """Return the fitted TIR with its budget; of few places it reaches up to what cannot be ruled out.

    What the fit of few places leaves is form more than noise: no bias is taken out of it.
    """
    uncertainty = f.uncertainty
    if uncertainty is not None and not f.few_places:
        return uncertainty.tir
    raw = tir_of_few_places(f.pool.values.angle_rad, f.pool.values.reading_mm, f.digit_mm)
    tir, (low, high), upper = f.fit.tir_mm, raw.interval(), raw.one_sided()[1]
    low, high = min(low, tir), max(high, tir, upper if math.isfinite(upper) else high)
    u = (high - low) / (2.0 * t975(uncertainty.dof if uncertainty else 0.0))
    return UncertainNumber(tir, raw.parts, limits=Limits((low, high), u=u), least=0.0)


def _tir_first(f: FittedSweep) -> UncertainNumber:
    """Return the TIR of order 1, uneven turning allowed for, and of few places the last written digit."""
    if f.uncertainty is not None:
        # The scatter's own interval has the resolution in it already.
        first, digit = f.uncertainty.first.tir_first, 0.0
    else:
        value = 2.0 * float(f.fit.amplitude_mm[0])
        first = UncertainNumber(value, limits=Limits((value, value)), least=0.0)
        digit = 2.0 * _digit_of_component_mm(f)
    for name, u in (
        ("angle", _first_order_off_mm(f.fit, f.capture.u_angle_rad)),
        (LAST_DIGIT, digit),
    ):
        first = first.with_part(name, Component(u)) if u > 0.0 else first
    return first


def _high_side(f: FittedSweep) -> UncertainNumber:
    """Return the direction of order 1, degrees, the angle's own uncertainty allowed for."""
    if f.uncertainty is not None:
        side = f.uncertainty.first.high_side
    else:
        side = _of_unknown_direction(math.degrees(f.fit.high_place_rad(1)))
    side = _with_angle(side, f)
    if not f.few_places:
        return side
    # Few readings may fit a wobble to the last written digit, which is still unsure.
    u_rad = math.atan2(_digit_of_component_mm(f), float(f.fit.amplitude_mm[0]))
    return side.with_part(LAST_DIGIT, Component(math.degrees(u_rad)))


def _high_point(f: FittedSweep) -> UncertainNumber:
    """Return where the curve is highest, degrees; of few places the place that reads highest."""
    if f.few_places:
        point = _of_unknown_direction(_place_deg(f, int(np.argmax(f.pool.values.reading_mm))))
    elif f.uncertainty is not None:
        point = f.uncertainty.high_point
    else:
        point = _of_unknown_direction(math.degrees(f.fit.high_point_rad))
    return _with_angle(point, f)


def _of_unknown_direction(deg: float) -> UncertainNumber:
    ends = (deg - _UNKNOWN_DEG, deg + _UNKNOWN_DEG)
    unknown = {"nothing told": Component(_UNKNOWN_DEG)}
    return UncertainNumber(deg, unknown, unit="deg", limits=Limits(ends), furthest=_UNKNOWN_DEG)


def _with_angle(number: UncertainNumber, f: FittedSweep) -> UncertainNumber:
    """Add what every angle has: its own uncertainty, and on one side a lag that nothing tells."""
    if f.lag.u_turned_rad > _UNKNOWN_FROM_RAD:
        return _of_unknown_direction(number.value)
    u_rad, may_rad = f.u_angle_rad, f.lag.may_turn_rad
    number = number.with_part("angle", Component(math.degrees(u_rad))) if u_rad > 0.0 else number
    if may_rad == 0.0:
        return number
    return number.with_part(LAG_NOT_KNOWN, Component(0.0, shift=-math.degrees(may_rad), one_sided=True))


def _place_deg(f: FittedSweep, number: int) -> float:
    """Return where one of the readings was taken, degrees from 0 to 360."""
    return math.degrees(f.pool.values.angle_rad[number] % (2.0 * math.pi))


def _digit_of_component_mm(f: FittedSweep) -> float:
    """Return what the last written digit makes uncertain of each component of order 1."""
    return f.digit_mm / math.sqrt(6.0 * len(f.pool.values))


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
            u_deg=_u_of_order_deg(f, n),
        )
        for n in (*range(1, fit.consecutive_orders + 1), *fit.added_orders)
    ]


def _u_of_order_deg(f: FittedSweep, n: int) -> float:
    """Return the standard uncertainty of an order's high place: its phase turns by n w u of a known lag."""
    if f.uncertainty is None or n * f.lag.u_turned_rad > _ORDER_UNKNOWN_FROM_RAD:
        return _UNKNOWN_DEG / n
    return math.degrees(math.hypot(float(f.uncertainty.u_high_place_rad[n - 1]), f.lag.u_turned_rad))


def pooled_vectors(f: FittedSweep) -> OrderVectors:
    """Return the orders that every sweep has, with their covariance, the angle's own uncertainty included.

    What a delay that was declared or is not known does to all sweeps at one speed alike is not in it.

    Where so few readings leave nothing to judge scatter by, the last written digit stands in for it, as
    2 s^2 / N of each component.
    """
    fit, uncertainty = f.fit, f.uncertainty
    if uncertainty is not None:
        known = OrderVectors(fit.vectors_mm, uncertainty.covariance_mm2, max(uncertainty.dof, 1.0))
    else:
        variance = 2.0 * f.digit_mm**2 / 12.0 / max(f.pool.places, 1)
        known = OrderVectors(fit.vectors_mm, variance * np.eye(2 * fit.highest_order))
    # Single orders above are of this sweep alone: sweeps are put together in the orders they have in common.
    return known.up_to(fit.consecutive_orders).with_angle(f.u_own_angle_rad)
