"""One sweep, as text and as JSON; the keys are a promise: always there, null where nothing can be had."""

from collections.abc import Sequence
from typing import Any

from analysis.capture import FromRecording, LinkCounts
from analysis.checks import describe_bump
from analysis.decision import DecisionState
from analysis.diagnosis import Slip
from analysis.results import Check, CheckState, SweepResult, SweepSummary, TurnResult
from analysis.setup import Quantity, Surface
from analysis.units import format_arc, format_both, format_count, format_length
from logger.inputs import SweepOrigin
from logger.reports.budget import budget_as_json, budget_sentence, decision_as_json
from logger.reports.phrases import (
    QUANTITY_WORDS,
    Report,
    Section,
    Trust,
    lines_of,
    place_in_words,
    trust_in_checks,
    verdict,
)
from logger.reports.sweep_rows import look_sentences, number_rows, turn_rows
from logger.reports.to_json import to_json

SURFACE_WORDS = {Surface.FACE: "Face runout", Surface.OUTSIDE: "Runout", Surface.BORE: "Bore runout"}
NOWHERE_DEG = 180.0
"""A high point that may lie anywhere in more than half the turn is named nowhere."""
NOT_SEEN = "Not seen in a sweep: a wrong scale, another mounting. The shim test sees scale."


def as_json(result: SweepResult, origin: SweepOrigin, link: LinkCounts | None) -> dict[str, Any]:
    """Return the object of one sweep."""
    gauge = result.gauge
    return to_json(
        {
            "file": origin.file,
            "recording_id": origin.recording_id,
            "setup": result.setup.text,
            "angle_source": result.angle_source,
            "angle_between_counts": result.angle_between_counts,
            "closed": origin.closed,
            "link": None if link is None else _link(link),
            "from_recording": None
            if origin.from_recording is None
            else _from_recording(origin.from_recording),
            "gauge": {
                "rate_hz": gauge.rate_hz,
                "resolution_mm": gauge.resolution_mm,
                "held_fraction": gauge.held_fraction,
                "max_rpm": gauge.max_rpm,
                "lag_s": gauge.lag_s,
                "u_lag_s": None if gauge.lag_s is None else result.lag.u_s,
                "lag_from": result.lag.source,
            },
            "turns": [_turn(turn) for turn in result.turns],
            "pooled": _pooled(result.pooled),
            "budget": budget_as_json(result),
            "bumps": [
                {
                    "deg": bump.deg,
                    "width_deg": bump.width_deg,
                    "height_mm": bump.height_mm,
                    "turns": bump.turns,
                    "kind": bump.kind,
                    "kept": bump.kept,
                }
                for bump in result.bumps
            ],
            "slip": _slip(result.slip),
            "left_out": [
                {"from_deg": window.start_deg, "to_deg": window.end_deg, "reason": window.reason}
                for window in result.left_out
            ],
            "checks": [check_as_json(check) for check in result.checks],
            "remarks": result.remarks,
            "decision": None if result.decision is None else decision_as_json(result.decision),
        }
    )


def _slip(slip: Slip | None) -> dict[str, Any]:
    """Return where the encoder moved against the part; every key null where no slip is seen."""
    return {
        "deg": slip and slip.step_deg,
        "u_deg": slip and slip.u_deg,
        "turn": slip and slip.turn + 1,
        "at_deg": slip and slip.at_deg,
        "share": slip and slip.share,
    }


def _link(link: LinkCounts) -> dict[str, Any]:
    return {
        "frames": link.frames,
        "bad": link.bad,
        "lost": link.lost,
        "dropped": link.dropped,
        "enc_errors": link.enc_errors,
        "restarts": link.restarts,
        "not_decoded": link.not_decoded,
        "gaps": [
            {"start_s": gap.start_s, "end_s": gap.end_s, "lost": gap.lost, "why": gap.why}
            for gap in link.gaps
        ],
    }


def _from_recording(recorded: FromRecording | None) -> dict[str, Any] | None:
    if recorded is None:
        return None
    return {
        "recording_id": recorded.recording_id,
        "sha256": recorded.sha256,
        "link": None if recorded.link is None else dict(recorded.link),
        "checks": [
            {"name": check.name, "state": check.state, "text": check.text, "do": check.do}
            for check in recorded.checks
        ],
    }


def check_as_json(check: Check) -> dict[str, Any]:
    """Return one check."""
    return {"name": check.name, "state": check.state, "text": check.text, "do": check.do}


def _turn(turn: TurnResult) -> dict[str, Any]:
    return {
        "turn": turn.turn,
        "direction": turn.direction,
        "samples": turn.samples,
        "values": turn.values,
        "coverage": turn.coverage,
        "largest_gap_deg": turn.largest_gap_deg,
        "rpm": turn.rpm,
        "tir_raw_mm": turn.tir_raw_mm,
        "tir_fit_mm": turn.tir_fit_mm,
        "tir_first_mm": turn.tir_first_mm,
        "high_point_deg": turn.high_point_deg,
    }


def _pooled(pooled: SweepSummary) -> dict[str, Any]:
    return {
        "turns": pooled.turns,
        "highest_order": pooled.highest_order,
        "tir_raw_mm": pooled.tir_raw_mm,
        "tir_fit_mm": pooled.tir_fit.value,
        "u_tir_fit_mm": pooled.tir_fit.u,
        "u_compare_mm": pooled.tir_fit.u,
        "tir_fit_95_mm": pooled.tir_fit.interval(),
        "tir_first_mm": pooled.tir_first.value,
        "u_tir_first_mm": pooled.tir_first.u,
        "tir_first_95_mm": pooled.tir_first.interval(),
        "high_point_deg": pooled.high_point.value,
        "high_point_95_deg": pooled.high_point.interval(),
        "low_point_deg": pooled.low_point_deg,
        "high_side_deg": pooled.high_side.value,
        "u_high_side_deg": pooled.high_side.u,
        "high_side_95_deg": pooled.high_side.interval(),
        "eccentricity_mm": pooled.eccentricity_mm,
        "eccentricity_95_mm": pooled.eccentricity_95_mm,
        "centre_deg": pooled.centre_deg,
        "tilt_mrad": pooled.tilt_mrad,
        "form_mm": pooled.form.value,
        "form_95_mm": pooled.form.interval(),
        "form_of": pooled.form_of,
        "points": pooled.points,
        "synchronous_mm": pooled.synchronous_mm,
        "synchronous_of_noise_mm": pooled.synchronous_of_noise_mm,
        "synchronous_95_mm": pooled.synchronous_95_mm,
        "asynchronous_mm": pooled.asynchronous_mm,
        "asynchronous_of_noise_mm": pooled.asynchronous_of_noise_mm,
        "asynchronous_95_mm": pooled.asynchronous_95_mm,
        "drift_mm_per_s": pooled.drift_mm_per_s,
        "closure_mm": pooled.closure_mm,
        "noise_mm": pooled.noise_mm,
        "local_noise_mm": pooled.local_noise_mm,
        "dof": pooled.dof,
        "clock": pooled.clock,
        "orders": [
            {
                "n": order.n,
                "cos_mm": order.cos_mm,
                "sin_mm": order.sin_mm,
                "u_mm": order.u_mm,
                "amplitude_mm": order.amplitude_mm,
                "u_amplitude_mm": order.u_amplitude_mm,
                "high_deg": order.high_deg,
                "u_deg": order.u_deg,
            }
            for order in pooled.orders
        ],
        "added_orders": pooled.added_orders,
        "order_seen_mm": pooled.order_seen_mm,
        "orders_looked_for": pooled.orders_looked_for,
        "wander_mm": pooled.wander_mm,
        "wander_dof": pooled.wander_dof,
        "lag1": pooled.lag1,
        "lines": [
            {"order": line.order, "mm": line.amplitude_mm, "predicts": line.predicts} for line in pooled.lines
        ],
    }


def as_text(result: SweepResult, unit: str, *, stages: bool = False) -> Report:
    """Return the text of one sweep; ``stages`` adds one line per step of the data path."""
    sections = [Section(rows=number_rows(result, unit))]
    if result.bumps:
        bumps = tuple(map(describe_bump, result.bumps))
        sections.append(Section("Narrow bumps (kept unless left out by name and reason):", bumps))
    if result.left_out:
        windows = (
            f"{window.start_deg:.1f} to {window.end_deg:.1f} deg: {window.reason}"
            for window in result.left_out
        )
        sections.append(Section("Left out:", tuple(windows)))
    checks = check_rows(result.checks)
    notes = [f"Note: {remark}." for remark in result.remarks]
    if result.setup.unknown:
        notes.append(f"Note: set-up keys kept but not understood: {', '.join(result.setup.unknown)}.")
    sections += [
        Section(rows=turn_rows(result, unit)),
        Section(rows=checks),
        Section(notes=(budget_sentence(result, unit), *look_sentences(result, unit), NOT_SEEN, *notes)),
    ]
    if stages:
        sections.append(Section("Stages:", result.stages))
    return Report(answer_sentence(result, unit), (_trust(result),), sections=tuple(sections))


def check_rows(checks: Sequence[Check]) -> tuple[str, ...]:
    """Return a row a doubt or refusal; what is clear is folded into one."""
    rows = [
        f"{check.state:<8}  {check.name:<11} {check.text}"
        for check in checks
        if check.state is not CheckState.CLEAR
    ]
    clear = [check.name for check in checks if check.state is CheckState.CLEAR]
    return (*rows, *([f"{CheckState.CLEAR:<8}  {', '.join(clear)}"] if clear else []))


def answer_sentence(result: SweepResult, unit: str) -> str:
    """Return the answer in one sentence."""
    pooled, decision, setup = result.pooled, result.decision, result.setup
    surface = SURFACE_WORDS[setup.surface]
    if decision is None or decision.quantity == Quantity.TIR:
        text = f"{surface} {tir_words(result, unit)} TIR, {_high_point(result)}"
    elif decision.quantity == Quantity.ECCENTRICITY:
        toward = place_in_words(pooled.centre_deg or 0.0, setup)
        text = f"Eccentricity {format_both(decision.number.value, unit)}, centre toward {toward}"
    else:
        what = QUANTITY_WORDS[decision.quantity]
        text = f"{surface} {format_both(decision.number.value, unit)} {what}, {_high_point(result)}"
    if result.why_no_decision:
        return f"{text}; nothing is decided: {result.why_no_decision}."
    return text + verdict(decision)


def _high_point(result: SweepResult) -> str:
    """Return where it is high: the top of the curve, with its interval."""
    found = result.pooled.high_point
    low, high = found.interval()
    if result.few_places:
        return f"highest reading {place_in_words(found.value, result.setup)}"
    if high - low >= NOWHERE_DEG:
        return "no place stands out as high"
    return f"high point {place_in_words(found.value, result.setup)}, 95 % {format_arc(low, high)} deg"


def tir_words(result: SweepResult, unit: str) -> str:
    """Return the TIR, or what it is at most where nothing stands out of the noise."""
    low, high = result.pooled.tir_fit.interval()
    if low <= 0.0 and not result.few_places:
        return f"at most {format_length(high, unit)}"
    return format_both(result.answer_tir_mm, unit)


def trust_lines(result: SweepResult) -> list[str]:
    """Return whether to believe the answer, and the one thing to do."""
    return lines_of([_trust(result)])


def _trust(result: SweepResult) -> Trust:
    trust = trust_in_checks(result.checks, when_clear=f"All {len(result.checks)} checks are clear.")
    lines, decision = list(trust.lines), result.decision
    refused = any(check.state is CheckState.REFUSED for check in result.checks)
    if decision is not None and decision.state is DecisionState.UNDECIDED and not refused:
        lines.append(f"Not decided because: {decision.why}.")
        if decision.more_turns:
            lines.append(
                f"{format_count(decision.more_turns, 'more turn')} would decide, if only "
                "scatter stands in the way."
            )
    return Trust(tuple(lines), trust.do)
