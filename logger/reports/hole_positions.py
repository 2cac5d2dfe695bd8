"""Every position of a bolted-on part, and the best, as text and as JSON; the keys are a promise."""

from collections.abc import Sequence
from typing import Any

from analysis.correction import HolePositions, Position
from analysis.units import format_both, format_length
from logger.inputs import AnalysedSweep
from logger.reports.phrases import ALONE, Report, Section, Trust, between, listed, trust_in_sweeps
from logger.reports.to_json import to_json


def as_json(found: HolePositions) -> dict[str, Any]:
    """Return the object of ``best-hole``."""
    return to_json(
        {
            "positions": [_position(one) for one in found.positions],
            "best": _position(found.best) if found.best else None,
            "between": [one.hole for one in found.between],
            "not_separable": found.not_separable,
        }
    )


def _position(one: Position) -> dict[str, Any]:
    return {
        "hole": one.hole,
        "deg": one.deg,
        "tir_mm": one.tir.value if one.tir else None,
        "u_tir_mm": one.tir.u if one.tir else None,
        "tir_95_mm": one.tir.interval() if one.tir else None,
        "tir_bounds_mm": one.tir_bounds_mm,
        "first_mm": one.first_mm,
        "high_side_deg": one.high_side_deg,
    }


def as_text(found: HolePositions, sweeps: Sequence[AnalysedSweep], notes: Sequence[str], unit: str) -> Report:
    """Return the text of ``best-hole``; ``sweeps`` are those it was predicted from."""
    beneath = [f"Note: {note}." for note in notes]
    if found.not_separable:
        beneath.insert(0, f"Cannot be separated with these positions: order {listed(found.not_separable)}.")
    beneath.append(ALONE)
    head = "hole   deg on flange   TIR (95 %)                          order 1 @ high side"
    return Report(
        _answer(found, unit),
        (*trust_in_sweeps(sweeps), Trust(do=_do(found))),
        sections=(Section(rows=(head, *(_row(one, unit) for one in found.positions)), notes=tuple(beneath)),),
    )


def _answer(found: HolePositions, unit: str) -> str:
    known = [one.tir.value for one in found.positions if one.tir is not None]
    best = found.best
    if best is not None and best.tir is not None:
        return (
            f"Best position: hole {best.hole}, the part's mark at {best.deg:.1f} deg on the flange: "
            f"predicted {format_both(best.tir.value, unit)} TIR "
            f"(the worst: {format_length(max(known), unit)})."
        )
    named = " or ".join(str(one.hole) for one in found.between)
    return f"Best position not decided: hole {named} can be the least."


def _do(found: HolePositions) -> str:
    """Return what to do next: bolt it on, or the sweep that would decide."""
    if found.best is not None:
        return "bolt it on there, sweep it, and see whether it reads so"
    unknown = [one for one in found.between if one.tir is None]
    if unknown:
        alone = "" if unknown[0].tir_bounds_mm else ", or one of the part alone (--part)"
        return f"one more assembled sweep, at hole {unknown[0].hole}{alone}, and all of them together again"
    return "bolt it on at each of these, sweep it, and keep the least; or sweep more turns"


def _row(one: Position, unit: str) -> str:
    tir = first = "not known"
    if one.tir is not None:
        tir = f"{format_length(one.tir.value, unit)} ({between(one.tir.interval(), unit)})"
    elif one.tir_bounds_mm is not None:
        tir = f"not known; {between(one.tir_bounds_mm, unit)}"
    if one.first_mm is not None and one.high_side_deg is not None:
        first = f"{format_length(one.first_mm, unit)} @ {one.high_side_deg:.0f}"
    return f"{one.hole:>4}   {one.deg:>13.1f}   {tir:<34}  {first}"
