"""How the thickness of a disc varies round it, as text and as JSON; the keys are a promise."""

from collections.abc import Sequence
from typing import Any

from analysis.decision import Decision, DecisionState
from analysis.measurands import Thickness
from analysis.numerics import OrderVectors
from analysis.results import Check, CheckState
from analysis.units import format_both, format_length
from logger.reports.budget import against_the_limit, lines_as_json
from logger.reports.phrases import Report, Section, Trust, between, trust_in_checks, verdict
from logger.reports.sweep import check_as_json
from logger.reports.to_json import to_json

TWO_TIPS = (
    "Wobble and end float do not count in it. The two tips have to stand exactly opposite, with matched "
    "gains; they tell how the thickness varies, not how thick it is."
)
MICROMETER = "Between the places of a micrometer it may be thinner still."


def as_json(found: Thickness, decision: Decision | None, checks: Sequence[Check]) -> dict[str, Any]:
    """Return the object of ``thickness``."""
    return to_json(
        {
            "variation_mm": found.variation.value,
            "u_variation_mm": found.variation.u,
            "variation_95_mm": found.variation.interval(),
            "thinnest_deg": found.thinnest_deg,
            "thinnest_mm": found.thinnest_mm,
            "state": decision.state if decision else None,
            "interval_mm": decision.number.interval() if decision else None,
            "guard_mm": decision.guard_mm if decision else None,
            "budget": lines_as_json(found.unseen),
            "orders": _orders(found.vectors),
            "checks": [check_as_json(check) for check in checks],
        }
    )


def _orders(vectors: OrderVectors | None) -> list[dict[str, Any]]:
    """Return the orders of a curve, each with the uncertainty of its components."""
    if vectors is None:
        return []
    columns = zip(vectors.cos_mm, vectors.sin_mm, vectors.u_mm, strict=True)
    return [{"n": n, "cos_mm": a, "sin_mm": b, "u_mm": u} for n, (a, b, u) in enumerate(columns, 1)]


def as_text(
    found: Thickness,
    decision: Decision | None,
    checks: Sequence[Check],
    unit: str,
    *,
    two_tips: bool,
    past_due: str = "",
) -> Report:
    """Return the text of ``thickness``, from two opposed tips or a micrometer."""
    thinnest = "" if two_tips else f"{format_length(found.thinnest_mm, unit)} "
    return Report(
        f"Thickness varies by {format_both(found.variation.value, unit)}{verdict(decision)}",
        _trust(decision, checks),
        sections=(
            Section(
                notes=(
                    f"95 %: {between(found.variation.interval(), unit)}, gauge's own error not in it.",
                    *([against_the_limit(decision, unit)] if decision else []),
                    f"Thinnest {thinnest}at {found.thinnest_deg:.0f} deg past the part's mark.",
                    TWO_TIPS if two_tips else MICROMETER,
                    *(f"Note: {taken}." for taken in found.taken_as if decision),
                    *([f"Note: {past_due}: have the gauge checked."] if past_due else []),
                )
            ),
        ),
    )


def _trust(decision: Decision | None, checks: Sequence[Check]) -> tuple[Trust, ...]:
    """Return whether to believe it: of several checks that are not clear the gravest alone is named."""
    refused = [check for check in checks if check.state is CheckState.REFUSED]
    doubtful = [check for check in checks if check.state is CheckState.DOUBTFUL]
    trust = trust_in_checks([*refused, *doubtful][:1])
    if decision is not None and decision.state is DecisionState.UNDECIDED and not refused:
        return trust, Trust((f"Not decided because: {decision.why}.",))
    return (trust,)
