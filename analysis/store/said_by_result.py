"""What the object of ``sweep`` says, as columns that can be asked: numbers, decisions, what was left out.

The object itself is stored beside them; where it lacks a key, which an older program did not write, the
column is null.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any

_NOT_OF_THE_RESULT = ("file", "provenance")
"""Where the file lay and which program printed it: another place or program makes no other result."""


def canonical_sha256(result: Mapping[str, Any]) -> str:
    """Return the digest of a result as it is stored, as canonical JSON: keys sorted, no spaces, UTF-8."""
    compared = {key: value for key, value in result.items() if key not in _NOT_OF_THE_RESULT}
    text = json.dumps(compared, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def analysis_columns(result: Mapping[str, Any]) -> dict[str, Any]:
    """Return the pooled numbers of the sweep alone; nothing but the digest where it holds none."""
    pooled = result.get("pooled") or {}
    low_mm, high_mm = _pair(pooled.get("tir_fit_95_mm"))
    first = next(iter(pooled.get("orders") or ()), None) or {}
    return {
        "quantity": "tir" if pooled else None,
        "value_mm": pooled.get("tir_fit_mm"),
        "u_mm": pooled.get("u_tir_fit_mm"),
        "dof": pooled.get("dof"),
        "low_mm": low_mm,
        "high_mm": high_mm,
        "tir_raw_mm": pooled.get("tir_raw_mm"),
        "tir_first_mm": pooled.get("tir_first_mm"),
        "first_cos_mm": first.get("cos_mm"),
        "first_sin_mm": first.get("sin_mm"),
        "high_point_deg": pooled.get("high_point_deg"),
        "turns_used": pooled.get("turns"),
        "result_sha256": canonical_sha256(result) if result else None,
    }


def decision_columns(
    result: Mapping[str, Any],
    *,
    made: str,
    limit_source: str | None,
    rule: str | None = None,
    rule_text: str | None = None,
    dof: float | None = None,
) -> list[dict[str, Any]]:
    """Return one row for each decision of a result, without its keys; what is given is known besides."""
    decision = result.get("decision")
    if not decision:
        return []
    low_mm, high_mm = _pair(decision.get("interval_mm"))
    return [
        {
            "n": 0,
            "quantity": decision.get("quantity"),
            "value_mm": decision.get("value_mm"),
            "u_mm": decision.get("u_mm"),
            "dof": dof,
            "low_mm": low_mm,
            "high_mm": high_mm,
            "limit_mm": decision.get("limit_mm"),
            "limit_as_written": decision.get("limit_as_written"),
            "limit_source": limit_source,
            "rule": rule or (result.get("provenance") or {}).get("rule"),
            "rule_text": rule_text,
            "guard_mm": decision.get("guard_mm"),
            "state": decision.get("state"),
            "why": decision.get("why"),
            "look": decision.get("look"),
            "of_looks": decision.get("looks_planned"),
            "made": made,
        }
    ]


def left_out_columns(result: Mapping[str, Any], *, who: str | None, made: str) -> list[dict[str, Any]]:
    """Return one row for each window of angle that a result leaves out, without its keys."""
    return [
        {
            "turn": None,
            "from_deg": window.get("from_deg"),
            "to_deg": window.get("to_deg"),
            "reason": window.get("reason") or "",
            "who": who,
            "made": made,
        }
        for window in result.get("left_out") or ()
    ]


def _pair(value: Sequence[float] | None) -> tuple[float | None, float | None]:
    return (value[0], value[1]) if value and len(value) == 2 else (None, None)
