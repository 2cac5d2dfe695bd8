"""End float of a shaft pushed and pulled, as text and as JSON; the keys are a promise."""

from typing import Any

from analysis.measurands import APART, FLOATS_WANTED, HOLD_S, EndFloat
from analysis.results import CheckState
from analysis.units import format_both, format_length
from logger.reports.budget import (
    against_the_limit,
    decision_as_json,
    lines_as_json,
    parts_as_json,
)
from logger.reports.phrases import STATE_WORDS, Report
from logger.reports.to_json import to_json

GATE_WORDS = {
    CheckState.CLEAR: "small enough for a face sweep",
    CheckState.DOUBTFUL: "a face sweep is doubtful with it",
    CheckState.REFUSED: "too much, take the float out before a face is measured",
}
HOW_TO_MEASURE = (
    f"Hold each push and pull for {HOLD_S:g} s or more; one counts that lies {APART:g} steps of the "
    f"gauge and {APART:g} times its noise from the one before."
)


def not_measured(seen: int) -> str:
    """Return the sentence of an end float that was not seen often enough."""
    return f"End float not measured: {seen} of {FLOATS_WANTED} pushes and pulls seen."


def as_json(found: EndFloat) -> dict[str, Any]:
    """Return the object of ``endfloat``."""
    return to_json(
        {
            "float_mm": found.end_float.value if found.end_float else None,
            "u_float_mm": found.end_float.u if found.end_float else None,
            "share_of_limit": found.share_of_limit,
            "state": found.state,
            "decision": decision_as_json(found.decision) if found.decision else None,
            "budget": [
                *parts_as_json(found.end_float.parts if found.end_float else {}),
                *lines_as_json(found.unseen),
            ],
        }
    )


def as_text(found: EndFloat, limit: str, unit: str, *, past_due: str = "") -> Report:
    """Return the text of ``endfloat``; ``limit`` in words."""
    if found.end_float is None:
        return Report(not_measured(found.cycles), notes=(HOW_TO_MEASURE,))
    answer = f"End float {format_both(found.end_float.value, unit)}, pushed and pulled {found.cycles} times"
    if found.share_of_limit is None or found.state is None:
        answer += "; no limit was entered to hold it against."
    else:
        words = STATE_WORDS[found.decision.state] if found.decision else GATE_WORDS[found.state]
        answer += f", {found.share_of_limit:.2f} times the limit {limit}: {words}."
    least, most, u = (
        format_length(mm, unit) for mm in (min(found.each_mm), max(found.each_mm), found.end_float.u)
    )
    return Report(
        answer,
        notes=(
            f"From {least} to {most} each time; standard uncertainty {u}.",
            *([against_the_limit(found.decision, unit)] if found.decision else []),
            *(f"Note: {taken}." for taken in found.taken_as if found.decision),
            "End float goes straight into a face reading; the maker's manual has the preload.",
            *([f"Note: {past_due}: have the gauge checked."] if past_due else []),
        ),
    )
