"""Every number with its formula and this sweep's own values: what opens when a number is chosen.

Exact terms and plain words stand side by side. Texts only; all values come from the analysis.
"""

from analysis.results import SweepResult
from analysis.units import format_count
from logger.live.drawing.lengths import fine, length
from logger.live.explain.formula import ExplainedNumber, curve_words
from logger.live.explain.trust_numbers import of_gauge, of_orders, trust
from logger.live.state.sweep_so_far import SweepSoFar
from logger.reports.phrases import STATE_WORDS, ends_deg, place_in_words


def numbers(analysis: SweepSoFar | None, unit: str) -> list[ExplainedNumber]:
    """Return every number that can be had, each with its formula; none before the first analysis."""
    if analysis is None or analysis.result is None:
        return []
    r = analysis.result
    return [
        *_tirs(r, unit),
        *_places(r),
        *_decision(r, unit),
        *_shape(r, unit),
        *trust(r, analysis, unit),
        *of_gauge(r, analysis, unit),
        *of_orders(r, unit),
    ]


def _tirs(r: SweepResult, unit: str) -> list[ExplainedNumber]:
    p = r.pooled
    turns = ", ".join(fine(turn.tir_raw_mm, unit) for turn in r.turns[-8:])
    orders = curve_words(p.orders, unit)
    low, high = p.tir_fit.interval()
    first = p.orders[0]
    return [
        ExplainedNumber(
            "TIR a dial shows",
            "tir_raw_mm",
            length(p.tir_raw_mm, unit),
            (
                "highest less lowest reading of one turn, noise and all; the median of the turns",
                f"median of {turns}",
                f"= {fine(p.tir_raw_mm, unit)}",
            ),
        ),
        ExplainedNumber(
            "TIR of the fitted curve",
            "tir_fit_mm",
            length(p.tir_fit.value, unit),
            (
                f"highest less lowest point of the curve of orders 1 to {p.highest_order}, all turns,",
                "less what noise adds to a greatest difference",
                f"curve: {orders} + smaller ones",
                f"highest at {p.high_point.value:.1f} deg, lowest at {p.low_point_deg:.1f} deg",
                f"= {fine(p.tir_fit.value, unit)}; 95 %: {fine(low, unit)} to {fine(high, unit)}",
                f"u = (high - low) / (2 t(.975, {p.dof:.0f})) = {fine(p.tir_fit.u, unit)}",
            ),
        ),
        ExplainedNumber(
            "TIR of once round (order 1)",
            "tir_first_mm",
            length(p.tir_first.value, unit),
            (
                "2 A1, A1 = root(a1 squared + b1 squared)",
                f"a1 = {fine(first.cos_mm, unit)}, b1 = {fine(first.sin_mm, unit)}",
                f"A1 = {fine(first.amplitude_mm, unit)}, 2 A1 = {fine(p.tir_first.value, unit)}",
                f"95 %: {fine(p.tir_first.interval()[0], unit)} to {fine(p.tir_first.interval()[1], unit)}",
            ),
        ),
    ]


def _places(r: SweepResult) -> list[ExplainedNumber]:
    p, first, on = r.pooled, r.pooled.orders[0], f"on the {r.setup.mark_on}"
    return [
        ExplainedNumber(
            "high point",
            "high_point_deg",
            f"{p.high_point.value:.1f} deg {on}",
            (
                "where the curve of all orders is highest: a cut touches there first",
                f"highest of orders 1 to {p.highest_order} at {p.high_point.value:.1f} deg",
                place_in_words(p.high_point.value, r.setup),
                ends_deg(p.high_point),
            ),
        ),
        ExplainedNumber(
            "high side (which way)",
            "high_side_deg",
            f"{p.high_side.value:.1f} deg {on}",
            (
                "direction of order 1: atan2(b1, a1); for holes, screws and shims",
                f"atan2({first.sin_mm:.5f}, {first.cos_mm:.5f}) = {p.high_side.value:.1f} deg",
                f"u = {p.high_side.u:.1f} deg; {ends_deg(p.high_side)}",
            ),
        ),
        ExplainedNumber(
            "low point",
            "low_point_deg",
            f"{p.low_point_deg:.1f} deg {on}",
            ("where the curve of all orders is lowest", f"at {p.low_point_deg:.1f} deg {on}"),
        ),
    ]


def _decision(r: SweepResult, unit: str) -> list[ExplainedNumber]:
    d = r.decision
    if d is None:
        return []
    side = "value + guard <= limit: within" if d.number.value < d.limit_mm else "value - guard >= limit: over"
    lines = [
        "within if the one-sided 95 % upper limit is at or under the entered limit, over if the lower is at",
        f"or over it; {side}",
        f"value {fine(d.number.value, unit)}, guard {fine(d.guard_mm, unit)}, limit {d.limit_as_written} = "
        f"{fine(d.limit_mm, unit)}",
        f"{STATE_WORDS[d.state]}: {d.why}",
    ]
    if d.more_turns:
        lines.append(
            f"{format_count(d.more_turns, 'more turn')} would decide, if only scatter stands in the way"
        )
    return [ExplainedNumber("decision", "decision", STATE_WORDS[d.state], tuple(lines))]


def _shape(r: SweepResult, unit: str) -> list[ExplainedNumber]:
    p = r.pooled
    found = [
        ExplainedNumber(
            "form (without once round)",
            "form_mm",
            length(p.form.value, unit),
            (
                f"highest less lowest point of the curve of orders 2 to {p.highest_order}, order 1 taken out",
                f"curve: {curve_words(p.orders[1:], unit)} + smaller ones",
                f"= {fine(p.form.value, unit)}, what noise adds to it taken off",
            ),
        )
    ]
    if p.eccentricity_mm is not None:
        found.append(
            ExplainedNumber(
                "eccentricity",
                "eccentricity_mm",
                length(p.eccentricity_mm, unit),
                (
                    "A1: half the TIR of order 1",
                    f"{fine(p.tir_first.value, unit)} / 2 = {fine(p.eccentricity_mm, unit)}",
                    f"centre toward {p.centre_deg or 0.0:.1f} deg; in a bore that is opposite the high side",
                ),
            )
        )
    if p.tilt_mrad is not None and r.setup.track_radius_mm:
        found.append(
            ExplainedNumber(
                "tilt",
                "tilt_mrad",
                f"{p.tilt_mrad:.4f} mrad",
                (
                    "A1 / R",
                    f"{p.orders[0].amplitude_mm:.5f} mm / {r.setup.track_radius_mm:g} mm x 1000",
                    f"= {p.tilt_mrad:.4f} mrad",
                ),
            )
        )
    if p.turns > 1:
        found.append(
            ExplainedNumber(
                "repeats with the turn",
                "synchronous_mm",
                length(p.synchronous_mm, unit),
                (
                    f"highest less lowest of the mean over {p.turns} turns, place by place",
                    f"each turn alone: {', '.join(fine(turn.tir_fit_mm, unit) for turn in r.turns[-8:])}",
                    f"= {fine(p.synchronous_mm, unit)}; noise of {fine(p.noise_mm, unit)} alone would give "
                    f"{fine(p.synchronous_of_noise_mm, unit)}",
                    _without_noise(p.synchronous_95_mm, unit),
                ),
            )
        )
        found.append(
            ExplainedNumber(
                "does not repeat turn to turn",
                "asynchronous_mm",
                length(p.asynchronous_mm, unit),
                (
                    f"greatest width over {p.turns} turns at one place",
                    f"= {fine(p.asynchronous_mm, unit)}; noise of {fine(p.noise_mm, unit)} alone would give "
                    f"{fine(p.asynchronous_of_noise_mm, unit)}",
                    _without_noise(p.asynchronous_95_mm, unit),
                ),
            )
        )
    return found


def _without_noise(ends_mm: tuple[float, float] | None, unit: str) -> str:
    """Return the interval of what moves with the noise taken off; of few places there is none."""
    if ends_mm is None:
        return "without noise: not told of so few places"
    return f"without noise, 95 %: {fine(ends_mm[0], unit)} to {fine(ends_mm[1], unit)}"
