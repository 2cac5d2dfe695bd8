"""The budget of a decision, as sentences and as JSON; the keys are a promise."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from analysis.decision import Decision
from analysis.numerics import Component, UncertainNumber
from analysis.results import SweepResult
from analysis.uncertainty import LAG_OF_GAUGE, BudgetLine, LineOn, LineOrigin
from analysis.units import format_length
from logger.reports.phrases import between

EVEN = 0.01
"""Halves of an interval that differ by less than this share are one U: two digits of it are printed."""


def decision_as_json(decision: Decision) -> dict[str, Any]:
    """Return a decision with the number that was held against the limit, every line in it."""
    return {
        "quantity": decision.quantity,
        "value_mm": decision.number.value,
        "u_mm": decision.number.u,
        "interval_mm": decision.number.interval(),
        "limit_mm": decision.limit_mm,
        "limit_as_written": decision.limit_as_written,
        "guard_mm": decision.guard_mm,
        "state": decision.state,
        "why": decision.why,
        "more_turns": decision.more_turns,
        "dial_mm": decision.dial.value if decision.dial else None,
        "dial_95_mm": decision.dial.interval() if decision.dial else None,
        "look": decision.looks.look,
        "looks_planned": decision.looks.planned,
        "alpha": decision.looks.alpha,
        **_expanded(decision.number),
    }


def _expanded(number: UncertainNumber) -> dict[str, float | None]:
    """Return U at 95 % and its factor k; null where the interval is not even about the value."""
    low, high = number.interval()
    wide, factor = number.expanded()
    even = abs((high - number.value) - (number.value - low)) <= EVEN * wide and math.isfinite(factor)
    return {"expanded_u_mm": wide if even else None, "coverage_factor": factor if even else None}


def budget_as_json(result: SweepResult) -> list[dict[str, Any]]:
    """Return the lines of the sweep itself, then those that only a decision counts in."""
    return [*parts_as_json(result.pooled.tir_fit.parts), *lines_as_json(result.unseen)]


def parts_as_json(parts: Mapping[str, Component]) -> list[dict[str, Any]]:
    """Return the lines of a number by itself, as the readings tell them."""
    return [
        {
            "source": name,
            "u_mm": part.u,
            "dof": part.dof,
            "u_deg": None,
            "kind": "A" if math.isfinite(part.dof) else "B",
            "from": LineOrigin.SWEEP,
            "on": LineOn.TIR,
            "one_sided": part.one_sided,
            "shift_mm": part.shift,
            **_divided(part),
        }
        for name, part in parts.items()
    ]


def lines_as_json(lines: Sequence[BudgetLine]) -> list[dict[str, Any]]:
    """Return the lines that no sweep shows by itself; ``shift_mm`` is what stands on one side alone.

    A line on the angle adds nothing to the TIR: its ``u_mm`` is 0.
    """
    return [
        {
            "source": line.source,
            "u_mm": line.part.u if line.on is LineOn.TIR else 0.0,
            "dof": line.part.dof,
            "u_deg": line.part.u if line.on is LineOn.ANGLE else None,
            "kind": "B",
            "from": line.origin,
            "on": line.on,
            "one_sided": line.part.one_sided,
            "shift_mm": line.part.shift if line.on is LineOn.TIR else None,
            **_divided(line.part),
        }
        for line in lines
    ]


def _divided(part: Component) -> dict[str, Any]:
    """Return how what is given of a source becomes its standard uncertainty."""
    return {
        "distribution": part.distribution.name,
        "divisor": part.distribution.divisor,
        "sensitivity": part.sensitivity,
    }


def budget_sentence(result: SweepResult, unit: str) -> str:
    """Return the standard uncertainties by source, and what the intervals of the numbers are."""
    parts = result.pooled.tir_fit.parts
    sources = ", ".join(f"{name} {format_length(part.u, unit)}" for name, part in parts.items())
    dof = result.pooled.dof
    freedom = f", {dof:.0f} degrees of freedom." if math.isfinite(dof) and dof >= 1 else "."
    of_angles = [
        line.source for line in result.unseen if line.on is LineOn.ANGLE and line.source != LAG_OF_GAUGE
    ]
    nor = f", nor in those of angles {', '.join(of_angles)}" if of_angles else ""
    return (
        f"Standard uncertainties of the TIR (k = 1): {sources}; intervals above are 95 % of this sweep "
        f"alone, gauge's own error not in them{nor}{freedom}"
    )


def against_the_limit(decision: Decision, unit: str) -> str:
    """Return what is held against the limit: the interval with every line, its guard band, the lines' u."""
    ends, guard = between(decision.number.interval(), unit), format_length(decision.guard_mm, unit)
    return f"Against the limit, with every line of the budget: {ends} (95 %), guard band {guard}."
