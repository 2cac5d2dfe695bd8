"""Before and after, as text and as JSON; the keys are a promise."""

from typing import Any

from analysis.measurands import Comparison, comparability_check
from analysis.results import CheckState
from analysis.setup import CompareEffect
from analysis.units import format_both, format_length
from logger.inputs import AnalysedSweep
from logger.reports.phrases import STATE_WORDS, Report, Trust, between, trust_in_sweeps
from logger.reports.sweep import check_as_json
from logger.reports.to_json import to_json


def as_json(before: AnalysedSweep, after: AnalysedSweep, found: Comparison) -> dict[str, Any]:
    """Return the object of ``compare``."""
    change = found.first
    return to_json(
        {
            "before": _side(before),
            "after": _side(after),
            "change_first_mm": change.tir_first.value if change else None,
            "u_change_first_mm": change.tir_first.u if change else None,
            "change_first_part_deg": change.high_side.value if change else None,
            "u_change_deg": change.high_side.u if change else None,
            "change_first_95_mm": change.tir_first.interval() if change else None,
            "comparable": found.comparable,
            "check": check_as_json(comparability_check(found.differences)),
            "differences": [
                {"field": one.field, "before": one.before, "after": one.after, "effect": one.effect}
                for one in found.differences
            ],
        }
    )


def _side(one: AnalysedSweep) -> dict[str, Any]:
    pooled, setup = one.result.pooled, one.result.setup
    return {
        "file": one.name,
        "part": setup.part,
        "stage": setup.stage,
        "turns": pooled.turns,
        "tir_raw_mm": pooled.tir_raw_mm,
        "tir_fit_mm": pooled.tir_fit.value,
        "u_tir_fit_mm": pooled.tir_fit.u,
        "tir_fit_95_mm": pooled.tir_fit.interval(),
        "tir_first_mm": pooled.tir_first.value,
        "high_point_deg": pooled.high_point.value,
        "high_side_deg": pooled.high_side.value,
    }


def as_text(before: AnalysedSweep, after: AnalysedSweep, found: Comparison, unit: str) -> Report:
    """Return the text of ``compare``."""
    blocking = [one.field for one in found.differences if one.effect == CompareEffect.BLOCKS]
    unsound = bool(blocking) and set(blocking) == {"checks"}
    if found.first is None:
        why = "a check of one of the sweeps is refused" if unsound else ", ".join(blocking)
        answer = f"Not comparable: {why}. No before and after can be claimed, and no change is given."
    else:
        a, b = (format_both(one.result.pooled.tir_fit.value, unit) for one in (before, after))
        change, side = found.first.tir_first, found.first.high_side
        answer = (
            f"TIR of the fitted curve from {a} to {b}; order 1 changed by "
            f"{format_length(change.value, unit)} @ {side.value:.0f} deg on the "
            f"part (as vectors, after less before; 95 %: {between(change.interval(), unit)})."
        )
    check = comparability_check(found.differences)
    comparable = Trust(
        (f"{check.text[0].upper()}{check.text[1:]}.",), check.do if check.state is CheckState.REFUSED else ""
    )
    rows = [
        f"{one.effect:<8}  {one.field}: {one.before or 'not entered'} before, "
        f"{one.after or 'not entered'} after"
        for one in found.differences
    ]
    rows += [
        f"{one.label}: {STATE_WORDS[one.result.decision.state]}."
        for one in (before, after)
        if one.result.decision
    ]
    trust = trust_in_sweeps([before, after])
    return Report(answer, trust if unsound else (comparable, *trust), rows=tuple(rows))
