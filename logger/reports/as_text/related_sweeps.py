"""What sweeps named together say, as sentences: two ways, creep, two opposed tips, two planes."""

import math
from collections.abc import Sequence

from analysis.measurands import Axis
from analysis.separation import TwoTips
from analysis.units import format_both, format_length
from logger.reports.as_text.studies import first_words, listed
from logger.reports.as_text.sweep import printable
from logger.studies import AtPlane, RelatedSweeps

CLEAR = 3.0
"""A lag or play counts as seen where it exceeds so many of its own standard uncertainties."""


def together_text(told: RelatedSweeps, unit: str) -> str:
    """Return the lines that several sweeps add; empty where they say nothing together."""
    lines = [*_two_ways(told, unit)]
    for creep in told.creep:
        lines.append(
            f"From {printable(creep.first.name)} to {printable(creep.last.name)} the mean height moved by "
            f"{format_length(creep.moved_mm, unit)}: the stand crept or something got warm, unless part or "
            "indicator were set up anew between them."
        )
    lines += told.bumps
    return "\n  ".join([f"Together: {lines[0][0].lower()}{lines[0][1:]}", *lines[1:]]) if lines else ""


def _two_ways(told: RelatedSweeps, unit: str) -> list[str]:
    found = told.lag_and_play
    if found is None:
        return []
    shift = math.degrees(found.shift_rad)
    if not found.seen:
        return [f"Turned both ways the high places agree within {abs(shift):.1f} deg: no lag, no play seen."]
    if found.lag_s is None or found.play_mm is None:
        return [
            f"Turned both ways the high places differ by {shift:.1f} deg: lag or play, one speed cannot "
            "tell. Do this: turn a pair at another speed, or do the tap check."
        ]
    answer = f"Turned both ways at two speeds the high places differ by {shift:.1f} deg."
    lines = [answer]
    if found.lag_s > CLEAR * (found.u_lag_s or 0.0):
        lines.append(
            f"The gauge is {1000 * found.lag_s:.0f} ms late (standard uncertainty "
            f"{1000 * (found.u_lag_s or 0.0):.0f} ms): half-way between the two ways the high side is right."
        )
    if found.play_mm > CLEAR * (found.u_play_mm or 0.0):
        lines.append(
            f"The gauge has {format_length(found.play_mm, unit)} of play (standard uncertainty "
            f"{format_length(found.u_play_mm or 0.0, unit)}): every TIR is short by it."
        )
    if len(lines) == 1:
        return [
            f"{answer} Lag or play, the sweeps scatter too much to tell. Do this: turn more turns each way."
        ]
    return lines


def two_tips_text(told: TwoTips, unit: str) -> str:
    """Return the lines that a second tip adds."""
    opposed = told.opposed
    lines = [
        f"Two tips, {told.apart_deg:g} deg apart. The shaft walks "
        f"{format_both(opposed.walk_tir_mm, unit)} along its axis, {first_words(opposed.walk_once, unit)} of "
        "it once round: taken off the reading above.",
        f"  One tip alone reads {format_both(told.alone.pooled.tir_fit_mm, unit)} TIR, order 1 "
        f"{format_length(told.alone.pooled.tir_first_mm, unit)} @ {told.alone.pooled.high_side_deg:.1f} deg.",
    ]
    if opposed.not_separable:
        lines.append(
            f"  Order {listed(opposed.not_separable)} may be the face's or the walk's: they stay in the "
            "reading."
        )
    lines.append("  Gains must match: tips 5 % apart leak a fortieth of the walk into the face.")
    return "\n".join(lines)


def axis_text(axis: Axis, at: Sequence[AtPlane], unit: str) -> str:
    """Return the lines that two planes add."""
    step = abs(axis.slope_mrad)
    if axis.tilted:
        first = (
            f"Over the two planes the axis is tilted or bent: eccentricity changes by {step:.4f} mm a metre"
        )
        crossing = axis.crossing_plane_mm
        if crossing is not None:
            first += f", least at plane {crossing:.0f} mm"
    else:
        first = "Over the two planes the part is off-centre: both agree within what is known"
    lines = [f"{first}."]
    for one in at:
        low, high = (format_length(end, unit) for end in one.first.interval_mm)
        lines.append(
            f"  At plane {one.plane_mm:g} mm: TIR of order 1 {format_length(one.first.tir_first_mm, unit)} @ "
            f"{one.first.high_side_deg:.1f} deg on the part (95 %: {low} to {high})."
        )
    return "\n".join([*lines, "  A straight axis is taken for granted between and beyond the two planes."])
