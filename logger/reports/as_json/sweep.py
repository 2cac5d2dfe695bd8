"""A sweep's result as the one JSON object that ``sweep --json`` prints; its keys are a promise.

Keys are always there; what cannot be had is null, never NaN.
"""

import math
from collections.abc import Mapping
from typing import Any

from analysis.capture import LinkCounts
from analysis.decision import Decision
from analysis.results import SweepResult, SweepSummary, TurnResult
from logger.inputs import SweepOrigin


def sweep_object(result: SweepResult, origin: SweepOrigin, link: LinkCounts | None) -> dict[str, Any]:
    """Return the object of one sweep."""
    gauge = result.gauge
    whole = {
        "file": origin.file,
        "recording_id": origin.recording_id,
        "setup": dict(result.setup.text),
        "angle_source": result.angle_source,
        "closed": origin.closed,
        "link": None if link is None else link_object(link),
        "gauge": {
            "rate_hz": gauge.rate_hz,
            "resolution_mm": gauge.resolution_mm,
            "held_fraction": gauge.held_fraction,
            "max_rpm": gauge.max_rpm,
            "lag_s": gauge.lag_s,
        },
        "turns": [_turn(turn) for turn in result.turns],
        "pooled": _pooled(result.pooled),
        "budget": [{"source": line.source, "u_mm": line.u_mm, "dof": line.dof} for line in result.budget],
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
        "left_out": [
            {"from_deg": window.start_deg, "to_deg": window.end_deg, "reason": window.reason}
            for window in result.left_out
        ],
        "checks": [
            {"name": check.name, "state": check.state, "text": check.text, "do": check.do}
            for check in result.checks
        ],
        "remarks": list(result.remarks),
        "decision": None if result.decision is None else _decision(result.decision),
    }
    plain: dict[str, Any] = to_plain(whole)
    return plain


def link_object(link: LinkCounts) -> dict[str, Any]:
    """Return what the link did."""
    return {
        "frames": link.frames,
        "bad": link.bad,
        "lost": link.lost,
        "dropped": link.dropped,
        "enc_errors": link.enc_errors,
        "restarts": link.restarts,
        "gaps": [
            {"start_s": gap.start_s, "end_s": gap.end_s, "lost": gap.lost, "why": gap.why}
            for gap in link.gaps
        ],
    }


def to_plain(value: Any) -> Any:
    """Return a value made of what JSON knows: arrays as lists, not-a-number and infinity as null."""
    if isinstance(value, Mapping):
        return {str(key): to_plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [to_plain(one) for one in value]
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if hasattr(value, "tolist"):
        return to_plain(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value


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


_POOLED = (
    "turns", "highest_order", "tir_raw_mm", "tir_fit_mm", "u_tir_fit_mm", "tir_fit_95_mm", "tir_first_mm",
    "u_tir_first_mm", "tir_first_95_mm", "high_point_deg", "high_point_95_deg", "low_point_deg",
    "high_side_deg", "u_high_side_deg", "high_side_95_deg", "eccentricity_mm", "centre_deg", "tilt_mrad",
    "form_mm", "synchronous_mm", "asynchronous_mm", "drift_mm_per_s", "closure_mm", "noise_mm", "dof",
    "clock",
)  # fmt: skip


def _pooled(pooled: SweepSummary) -> dict[str, Any]:
    told = {name: getattr(pooled, name) for name in _POOLED}
    told["orders"] = [
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
    ]
    return told


def _decision(decision: Decision) -> dict[str, Any]:
    return {
        "quantity": decision.quantity,
        "value_mm": decision.value_mm,
        "u_mm": decision.u_mm,
        "interval_mm": decision.interval_mm,
        "limit_mm": decision.limit_mm,
        "limit_as_written": decision.limit_as_written,
        "guard_mm": decision.guard_mm,
        "state": decision.state,
        "why": decision.why,
        "more_turns": decision.more_turns,
    }
