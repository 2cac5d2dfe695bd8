"""Moves of screws, jaws or shims, as text and as JSON; the keys are a promise."""

from typing import Any

from analysis.correction import Adjustment
from analysis.setup import Surface
from analysis.units import format_both, format_length
from logger.inputs import AnalysedSweep
from logger.reports.phrases import Report, Section, trust_in_sweeps
from logger.reports.to_json import to_json


def as_json(found: Adjustment) -> dict[str, Any]:
    """Return the object of ``adjust``."""
    return to_json(
        {
            "moves": [{"deg": one.deg, "move_mm": one.move_mm} for one in found.moves],
            "left_first_mm": found.left_first_mm,
        }
    )


def as_text(found: Adjustment, sweep: AnalysedSweep, unit: str) -> Report:
    """Return the text of ``adjust``; ``sweep`` is the one that is to be adjusted."""
    pooled, on_face = sweep.result.pooled, sweep.result.setup.surface == Surface.FACE
    if on_face:
        answer = f"Shims that take the wobble of {format_both(pooled.tir_first.value, unit)} out: "
        moves = ", ".join(f"{format_length(one.move_mm, unit)} at {one.deg:g} deg" for one in found.moves)
        frame = "Thickness to add at each place; the least is zero."
        then = "Put the shims in, tighten as before, sweep again."
    else:
        answer = (
            f"Moves that take the eccentricity of {format_both(pooled.eccentricity_mm or 0.0, unit)} out: "
        )
        moves = ", ".join(
            f"{format_length(abs(one.move_mm), unit)} {'away from' if one.move_mm > 0 else 'toward'} the "
            f"axis at {one.deg:g} deg"
            for one in found.moves
        )
        frame = "+ = away from the axis, at the screw's own place on the part."
        in_bore = sweep.result.setup.surface == Surface.BORE
        sign = " with the other sign (a bore reads + as -)" if in_bore else ""
        then = (
            f"Go to each screw, turn it until the indicator there has changed by its move{sign}, sweep again."
        )
    left = (
        f"These screws leave {format_length(found.left_first_mm, unit)} TIR of order 1: none points that way."
    )
    table = (
        f"{number:>5}   {one.deg:>15.1f}   {'+' if one.move_mm > 0 else ''}{format_length(one.move_mm, unit)}"
        for number, one in enumerate(found.moves, 1)
    )
    return Report(
        f"{answer}{moves}.",
        trust_in_sweeps([sweep]),
        notes=(left,) if found.left_first_mm > 0.0 else (),
        sections=(Section(rows=("screw   deg on the part   move", *table, frame), notes=(then,)),),
    )
