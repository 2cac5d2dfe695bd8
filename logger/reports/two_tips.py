"""What a second tip on the same face adds, as text and as JSON; the keys are a promise."""

from typing import Any

from analysis.separation import TwoTips, first_of
from analysis.units import format_both, format_length
from logger.reports.phrases import Report, first_order, listed
from logger.reports.to_json import to_json


def as_json(tips: TwoTips) -> dict[str, Any]:
    """Return what ``sweep --opposed`` adds."""
    face, motion = first_of(tips.opposed.face), tips.opposed.axial_motion_each_turn
    return to_json(
        {
            "apart_deg": tips.apart_deg,
            "walk_tir_mm": tips.opposed.axial_motion_tir_mm,
            "walk_first_mm": motion.tir_first_mm,
            "walk_first_deg": motion.high_side_deg,
            "face_first_mm": face.tir_first.value,
            "face_first_95_mm": face.tir_first.interval(),
            "face_high_side_deg": face.high_side.value,
            "one_tip_tir_mm": tips.alone.pooled.tir_fit.value,
            "one_tip_first_mm": tips.alone.pooled.tir_first.value,
            "not_separable": tips.opposed.not_separable,
        }
    )


def as_text(tips: TwoTips, unit: str) -> Report:
    """Return the lines that a second tip adds."""
    opposed, alone = tips.opposed, tips.alone.pooled
    rows = [
        f"One tip alone reads {format_both(alone.tir_fit.value, unit)} TIR, order 1 "
        f"{format_length(alone.tir_first.value, unit)} @ {alone.high_side.value:.1f} deg."
    ]
    if opposed.not_separable:
        rows.append(
            f"Order {listed(opposed.not_separable)} may be the face's or the walk's: they stay in the "
            "reading."
        )
    rows.append("Gains must match: tips 5 % apart leak a fortieth of the walk into the face.")
    return Report(
        f"Two tips, {tips.apart_deg:g} deg apart. The shaft walks "
        f"{format_both(opposed.axial_motion_tir_mm, unit)} along its axis, "
        f"{first_order(opposed.axial_motion_each_turn, unit)} of it once round: taken off the reading above.",
        rows=tuple(rows),
    )
