"""Numbers that say how far a sweep can be believed, with their formulas: closure, noise, gauge, orders."""

import math

from analysis.capture import certificate_of
from analysis.diagnosis import wanted_values_per_turn
from analysis.results import SweepResult
from analysis.units import format_count, format_length
from logger.live.drawing.lengths import fine, length
from logger.live.explain.formula import ExplainedNumber
from logger.live.state.sweep_so_far import SweepSoFar


def trust(r: SweepResult, analysis: SweepSoFar, unit: str) -> list[ExplainedNumber]:
    """Return what says whether the sweep can be believed."""
    p = r.pooled
    found = []
    if p.closure_mm is not None:
        found.append(
            ExplainedNumber(
                "comes back to start",
                "closure_mm",
                length(p.closure_mm, unit),
                (
                    "reading when the mark comes by again less the reading at the start",
                    f"median of {format_count(len(r.turns), 'turn')} = {fine(p.closure_mm, unit)}",
                ),
            )
        )
    if p.drift_mm_per_s is not None:
        minute = format_length(p.drift_mm_per_s * 60.0, unit)
        found.append(
            ExplainedNumber(
                "drift",
                "drift_mm_per_s",
                f"{minute} a minute",
                (
                    "slope over time, fitted beside the orders",
                    f"{p.drift_mm_per_s:.3g} mm/s x 60 = {minute} a minute",
                ),
            )
        )
    if analysis.agree_mm is not None:
        found.append(
            ExplainedNumber(
                "last two turns agree within",
                "-",
                length(analysis.agree_mm, unit),
                (
                    "greatest difference between the curves of the last two turns, over 360 places",
                    f"turns {r.turns[-2].turn + 1} and {r.turns[-1].turn + 1}: "
                    f"{fine(analysis.agree_mm, unit)}",
                ),
            )
        )
    gap = max(turn.largest_gap_deg for turn in r.turns)
    found.append(
        ExplainedNumber(
            "seen all round",
            "largest_gap_deg",
            f"gap {gap:.1f} deg",
            (
                "widest stretch without a reading; over 12 deg doubtful, over 30 deg refused",
                f"greatest of {', '.join(f'{turn.largest_gap_deg:.1f}' for turn in r.turns[-12:])} deg",
            ),
        )
    )
    lines = tuple(f"{name}: u = {fine(part.u, unit)}" for name, part in r.pooled.tir_fit.parts.items())
    found.append(
        ExplainedNumber(
            "noise of one reading",
            "noise_mm",
            length(p.noise_mm, unit),
            (
                "root(sum of squares that the curve leaves / degrees of freedom)",
                f"= {fine(p.noise_mm, unit)}; the budget of the TIR (k = 1):",
                *lines,
            ),
        )
    )
    return found


def of_gauge(r: SweepResult, analysis: SweepSoFar, unit: str) -> list[ExplainedNumber]:
    """Return what the sweep says of the gauge, and what was taken off its readings."""
    g = r.gauge
    wanted = wanted_values_per_turn(r.setup.turns_planned)
    found = [
        ExplainedNumber(
            "fastest this gauge can follow",
            "max_rpm",
            f"{g.max_rpm:.1f} rpm",
            (
                f"60 x new values a second / {wanted:.0f} wanted a turn",
                f"60 x {g.rate_hz:.1f} / {wanted:.0f} = {g.max_rpm:.1f} rpm",
                "says nothing about danger: turn by hand",
            ),
        )
    ]
    if analysis.lag is not None:
        found.append(
            ExplainedNumber(
                "the gauge is late by",
                "lag_s",
                f"{analysis.lag.lag_s * 1000:.0f} ms",
                (
                    "the delay at which the curve fits best where the speed was uneven",
                    f"{analysis.lag.lag_s * 1000:.1f} ms, u = {analysis.lag.u_s * 1000:.1f} ms; "
                    "taken off in Find",
                ),
            )
        )
    certificate = certificate_of(r.setup)
    if certificate is not None:
        points = zip(certificate.reading_mm.tolist(), certificate.error_mm.tolist(), strict=True)
        found.append(
            ExplainedNumber(
                "gauge's certificate",
                "gauge_table",
                f"{len(certificate.reading_mm)} points taken off",
                (
                    "true = shown - error, straight lines between the points, before anything else is done",
                    *(f"at {fine(at, unit)}: error {fine(error, unit)}" for at, error in points),
                ),
            )
        )
    return found


def of_orders(r: SweepResult, unit: str) -> list[ExplainedNumber]:
    """Return the lowest orders, and every other that is clear of noise."""
    names = {1: "once round", 2: "twice round", 3: "three times round"}
    return (
        [
            ExplainedNumber(
                names.get(order.n, f"{order.n} times round"),
                f"order {order.n}",
                length(2.0 * order.amplitude_mm, unit),
                (
                    f"a{order.n} = {fine(order.cos_mm, unit)}, b{order.n} = {fine(order.sin_mm, unit)}, "
                    f"u of each {fine(order.u_mm, unit)}",
                    f"TIR 2 A = 2 root(a squared + b squared) = {fine(2 * order.amplitude_mm, unit)}",
                    f"first high place atan2(b, a) / {order.n} = {order.high_deg:.1f}, u {order.u_deg:.1f}",
                ),
            )
            for order in r.pooled.orders
            if order.n <= 3 or order.amplitude_mm > 3.5 * order.u_amplitude_mm
        ]
        if math.isfinite(r.pooled.dof)
        else []
    )
