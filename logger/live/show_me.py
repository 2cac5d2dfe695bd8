"""Every number with its formula and this sweep's own values: what opens when a number is chosen.

Exact terms and plain words stand side by side. Texts only; all values come from the analysis.
"""

import math
from dataclasses import dataclass

from analysis.certificate import parse_certificate
from analysis.gauge import WANTED_VALUES_PER_TURN
from analysis.results import SweepResult
from analysis.units import format_length
from logger.live.lengths import fine, length
from logger.live.study import Study
from logger.words import STATE_WORDS, place_in_words


@dataclass(frozen=True)
class Number:
    """One number of the sweep."""

    name: str
    """In plain words."""
    term: str
    """The exact term, as in ``sweep --json``."""
    value: str
    show_me: tuple[str, ...]
    """Its formula, with this sweep's values, line by line."""


def numbers(study: Study | None, unit: str) -> list[Number]:
    """Return every number that can be had, each with its formula; none before the first analysis."""
    if study is None or study.result is None:
        return []
    r = study.result
    return [
        *_tirs(r, unit),
        *_places(r),
        *_decision(r, unit),
        *_shape(r, unit),
        *_trust(r, study, unit),
        *_gauge(r, study, unit),
        *_orders(r, unit),
    ]


def _tirs(r: SweepResult, unit: str) -> list[Number]:
    p = r.pooled
    turns = ", ".join(fine(turn.tir_raw_mm, unit) for turn in r.turns[-8:])
    biggest = sorted(p.orders, key=lambda order: -order.amplitude_mm)[:3]
    orders = " + ".join(
        f"{fine(order.amplitude_mm, unit)} cos({order.n or ''}(phi - {order.high_deg:.1f} deg))".replace(
            "(1(", "(("
        )
        for order in biggest
    )
    low, high = p.tir_fit_95_mm
    first = p.orders[0]
    return [
        Number(
            "TIR a dial shows",
            "tir_raw_mm",
            length(p.tir_raw_mm, unit),
            (
                "highest less lowest reading of one turn, noise and all; the median of the turns",
                f"median of {turns}",
                f"= {fine(p.tir_raw_mm, unit)}",
            ),
        ),
        Number(
            "TIR of the fitted curve",
            "tir_fit_mm",
            length(p.tir_fit_mm, unit),
            (
                f"highest less lowest point of the curve of orders 1 to {p.highest_order}, all turns,",
                "less what noise adds to a greatest difference",
                f"curve: {orders} + smaller ones",
                f"highest at {p.high_point_deg:.1f} deg, lowest at {p.low_point_deg:.1f} deg",
                f"= {fine(p.tir_fit_mm, unit)}; 95 %: {fine(low, unit)} to {fine(high, unit)}",
                f"u = (high - low) / (2 t(.975, {p.dof:.0f})) = {fine(p.u_tir_fit_mm, unit)}",
            ),
        ),
        Number(
            "TIR of once round (order 1)",
            "tir_first_mm",
            length(p.tir_first_mm, unit),
            (
                "2 A1, A1 = root(a1 squared + b1 squared)",
                f"a1 = {fine(first.cos_mm, unit)}, b1 = {fine(first.sin_mm, unit)}",
                f"A1 = {fine(first.amplitude_mm, unit)}, 2 A1 = {fine(p.tir_first_mm, unit)}",
                f"95 %: {fine(p.tir_first_95_mm[0], unit)} to {fine(p.tir_first_95_mm[1], unit)}",
            ),
        ),
    ]


def _places(r: SweepResult) -> list[Number]:
    p, first, on = r.pooled, r.pooled.orders[0], f"on the {r.setup.mark_on}"
    return [
        Number(
            "high point",
            "high_point_deg",
            f"{p.high_point_deg:.1f} deg {on}",
            (
                "where the curve of all orders is highest: a cut touches there first",
                place_in_words(p.high_point_deg, r.setup),
                f"95 %: {p.high_point_95_deg[0]:.1f} to {p.high_point_95_deg[1]:.1f} deg",
            ),
        ),
        Number(
            "high side (which way)",
            "high_side_deg",
            f"{p.high_side_deg:.1f} deg {on}",
            (
                "direction of order 1: atan2(b1, a1); for holes, screws and shims",
                f"atan2({first.sin_mm:.5f}, {first.cos_mm:.5f}) = {p.high_side_deg:.1f} deg",
                f"u = {p.u_high_side_deg:.1f} deg; 95 %: {p.high_side_95_deg[0]:.1f} to "
                f"{p.high_side_95_deg[1]:.1f} deg",
            ),
        ),
        Number(
            "low point", "low_point_deg", f"{p.low_point_deg:.1f} deg {on}", ("where the curve is lowest",)
        ),
    ]


def _decision(r: SweepResult, unit: str) -> list[Number]:
    d = r.decision
    if d is None:
        return []
    side = "value + guard <= limit: within" if d.value_mm < d.limit_mm else "value - guard >= limit: over"
    told = [
        "within if the one-sided 95 % upper limit is at or under the entered limit, over if the lower is at",
        f"or over it; {side}",
        f"value {fine(d.value_mm, unit)}, guard {fine(d.guard_mm, unit)}, limit {d.limit_as_written} = "
        f"{fine(d.limit_mm, unit)}",
        f"{STATE_WORDS[d.state]}: {d.why}",
    ]
    if d.more_turns:
        told.append(f"{d.more_turns} more turn(s) would decide, if only scatter stands in the way")
    return [Number("decision", "decision", STATE_WORDS[d.state], tuple(told))]


def _shape(r: SweepResult, unit: str) -> list[Number]:
    p = r.pooled
    found = [
        Number(
            "form (without once round)",
            "form_mm",
            length(p.form_mm, unit),
            ("highest less lowest point of the curve with order 1 taken out",),
        )
    ]
    if p.eccentricity_mm is not None:
        found.append(
            Number(
                "eccentricity",
                "eccentricity_mm",
                length(p.eccentricity_mm, unit),
                (
                    "A1: half the TIR of order 1",
                    f"centre toward {p.centre_deg or 0.0:.1f} deg; in a bore that is opposite the high side",
                ),
            )
        )
    if p.tilt_mrad is not None and r.setup.track_radius_mm:
        found.append(
            Number(
                "tilt",
                "tilt_mrad",
                f"{p.tilt_mrad:.4f} mrad",
                (
                    "A1 / R",
                    f"{p.orders[0].amplitude_mm:.5f} mm / {r.setup.track_radius_mm:g} mm x 1000",
                ),
            )
        )
    if p.turns > 1:
        found.append(
            Number(
                "repeats with the turn",
                "synchronous_mm",
                length(p.synchronous_mm, unit),
                ("highest less lowest of the mean over turns",),
            )
        )
        found.append(
            Number(
                "does not repeat turn to turn",
                "asynchronous_mm",
                length(p.asynchronous_mm, unit),
                (
                    f"greatest width over {p.turns} turns at one place",
                    f"noise alone would give {fine(p.asynchronous_of_noise_mm, unit)}",
                ),
            )
        )
    return found


def _trust(r: SweepResult, study: Study, unit: str) -> list[Number]:
    p = r.pooled
    found = []
    if p.closure_mm is not None:
        found.append(
            Number(
                "comes back to start",
                "closure_mm",
                length(p.closure_mm, unit),
                ("reading when the mark comes by again less the reading at the start, median of the turns",),
            )
        )
    if p.drift_mm_per_s is not None:
        minute = format_length(p.drift_mm_per_s * 60.0, unit)
        found.append(
            Number(
                "drift",
                "drift_mm_per_s",
                f"{minute} a minute",
                ("slope over time, fitted beside the orders",),
            )
        )
    if study.agree_mm is not None:
        found.append(
            Number(
                "last two turns agree within",
                "-",
                length(study.agree_mm, unit),
                ("greatest difference between the curves of the last two turns",),
            )
        )
    gap = max(turn.largest_gap_deg for turn in r.turns)
    found.append(
        Number(
            "seen all round",
            "largest_gap_deg",
            f"gap {gap:.1f} deg",
            ("widest stretch without a reading; over 12 deg doubtful, over 30 deg refused",),
        )
    )
    lines = tuple(f"{line.source}: u = {fine(line.u_mm, unit)}" for line in r.budget)
    found.append(
        Number(
            "noise of one reading",
            "noise_mm",
            length(p.noise_mm, unit),
            ("standard deviation of what the curve does not explain; the budget of the TIR (k = 1):", *lines),
        )
    )
    return found


def _gauge(r: SweepResult, study: Study, unit: str) -> list[Number]:
    g = r.gauge
    found = [
        Number(
            "fastest this gauge can follow",
            "max_rpm",
            f"{g.max_rpm:.1f} rpm",
            (
                f"60 x new values a second / {WANTED_VALUES_PER_TURN} wanted a turn",
                f"60 x {g.rate_hz:.1f} / {WANTED_VALUES_PER_TURN} = {g.max_rpm:.1f} rpm",
                "says nothing about danger: turn by hand",
            ),
        )
    ]
    if study.lag is not None:
        found.append(
            Number(
                "the gauge is late by",
                "lag_s",
                f"{study.lag.lag_s * 1000:.0f} ms",
                (
                    "the delay at which the curve fits best where the speed was uneven",
                    f"{study.lag.lag_s * 1000:.1f} ms, u = {study.lag.u_s * 1000:.1f} ms; taken off in Find",
                ),
            )
        )
    table = parse_certificate(r.setup.text.get("gauge_table", ""))
    if table is not None:
        points = zip(table.reading_mm.tolist(), table.error_mm.tolist(), strict=True)
        found.append(
            Number(
                "gauge's certificate",
                "gauge_table",
                f"{len(table.reading_mm)} points taken off",
                (
                    "true = shown - error, straight lines between the points, before anything else is done",
                    *(f"at {fine(at, unit)}: error {fine(error, unit)}" for at, error in points),
                ),
            )
        )
    return found


def _orders(r: SweepResult, unit: str) -> list[Number]:
    names = {1: "once round", 2: "twice round", 3: "three times round"}
    return (
        [
            Number(
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
