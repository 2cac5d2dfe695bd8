"""Before and after, as text and as JSON; the keys are a promise."""

from collections.abc import Mapping
from typing import Any

from analysis.decision import DecisionState
from analysis.measurands import Comparison, comparability_check
from analysis.results import CheckState
from analysis.setup import CompareEffect, Setup
from analysis.units import format_both, format_length
from logger.inputs import AnalysedSweep, StoredResult
from logger.reports.phrases import STATE_WORDS, Report, Trust, between, trust_in_sweeps
from logger.reports.sweep import check_as_json
from logger.reports.to_json import to_json

Compared = AnalysedSweep | StoredResult
"""One side: analysed just now, or told by the store where its file is gone."""
FROM_STORE = "from stored vectors, not from readings"
POOLED = (
    "turns",
    "tir_raw_mm",
    "tir_fit_mm",
    "u_tir_fit_mm",
    "tir_fit_95_mm",
    "tir_first_mm",
    "high_point_deg",
    "high_side_deg",
)
"""What is said of each side, by its keys in the object of ``sweep``."""


def as_json(before: Compared, after: Compared, found: Comparison) -> dict[str, Any]:
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


def _side(one: Compared) -> dict[str, Any]:
    setup = _setup(one)
    return {
        "file": one.name,
        "part": setup.part,
        "stage": setup.stage,
        **{key: _numbers(one)[key] for key in POOLED},
        "from_stored_vectors": isinstance(one, StoredResult),
    }


def _setup(one: Compared) -> Setup:
    return one.setup if isinstance(one, StoredResult) else one.result.setup


def _numbers(one: Compared) -> Mapping[str, Any]:
    if isinstance(one, StoredResult):
        return dict(one.result["pooled"])
    pooled = one.result.pooled
    return {
        "turns": pooled.turns,
        "tir_raw_mm": pooled.tir_raw_mm,
        "tir_fit_mm": pooled.tir_fit.value,
        "u_tir_fit_mm": pooled.tir_fit.u,
        "tir_fit_95_mm": pooled.tir_fit.interval(),
        "tir_first_mm": pooled.tir_first.value,
        "high_point_deg": pooled.high_point.value,
        "high_side_deg": pooled.high_side.value,
    }


def _state(one: Compared) -> DecisionState | None:
    if isinstance(one, StoredResult):
        decision = one.result.get("decision")
        return DecisionState(decision["state"]) if decision else None
    return one.result.decision.state if one.result.decision else None


def _label(one: Compared) -> str:
    return one.name if isinstance(one, StoredResult) else one.label


def _trust(both: tuple[Compared, Compared]) -> tuple[Trust, ...]:
    read = [one for one in both if isinstance(one, AnalysedSweep)]
    in_store = [one for one in both if isinstance(one, StoredResult)]
    stored = Trust(
        tuple(
            f"{one.name}: {FROM_STORE}: its file is gone, its numbers are those of numerics "
            f"{(one.result.get('provenance') or {}).get('numerics', 'not counted')}."
            for one in in_store
        ),
        "`fullturn store find FOLDER` finds a file where it was moved to" if in_store else "",
    )
    return (*([stored] if in_store else []), *(trust_in_sweeps(read) if read else ()))


def as_text(before: Compared, after: Compared, found: Comparison, unit: str) -> Report:
    """Return the text of ``compare``."""
    blocking = [one.field for one in found.differences if one.effect == CompareEffect.BLOCKS]
    unsound = bool(blocking) and set(blocking) == {"checks"}
    if found.first is None:
        why = "a check of one of the sweeps is refused" if unsound else ", ".join(blocking)
        answer = f"Not comparable: {why}. No before and after can be claimed, and no change is given."
    else:
        a, b = (format_both(_numbers(one)["tir_fit_mm"], unit) for one in (before, after))
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
        f"{_label(one)}: {STATE_WORDS[state]}."
        for one in (before, after)
        if (state := _state(one)) is not None
    ]
    trust = _trust((before, after))
    return Report(answer, trust if unsound else (comparable, *trust), rows=tuple(rows))
