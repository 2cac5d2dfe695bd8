"""The axis of a shaft from two planes, as text and as JSON; the keys are a promise."""

import cmath
import math
from collections.abc import Sequence
from typing import Any

from analysis.measurands import Axis
from logger.reports.phrases import Report, between, first_order
from logger.reports.to_json import to_json
from logger.studies import AtPlane


def as_json(axis: Axis, at: Sequence[AtPlane]) -> dict[str, Any]:
    """Return what ``sweep --plane`` adds; ``at`` are the planes asked for."""
    return to_json(
        {
            "planes_mm": [axis.first_plane_mm, axis.second_plane_mm],
            "tilted": axis.tilted,
            "slope_mrad": abs(axis.slope_mrad),
            "slope_deg": math.degrees(cmath.phase(axis.slope_mrad)) % 360.0,
            "least_plane_mm": axis.crossing_plane_mm,
            "at": [
                {
                    "plane_mm": one.plane_mm,
                    "tir_first_mm": one.first.tir_first.value,
                    "tir_first_95_mm": one.first.tir_first.interval(),
                    "high_side_deg": one.first.high_side.value,
                }
                for one in at
            ],
        }
    )


def as_text(axis: Axis, at: Sequence[AtPlane], unit: str) -> Report:
    """Return the lines that two planes add."""
    if axis.tilted:
        answer = (
            "Over the two planes the axis is tilted or bent: eccentricity changes by "
            f"{abs(axis.slope_mrad):.4f} mm a metre"
        )
        if axis.crossing_plane_mm is not None:
            answer += f", least at plane {axis.crossing_plane_mm:.0f} mm"
    else:
        answer = "Over the two planes the part is off-centre: both agree within what is known"
    rows = (
        f"At plane {one.plane_mm:g} mm: TIR of order 1 {first_order(one.first, unit)} on the part "
        f"(95 %: {between(one.first.tir_first.interval(), unit)})."
        for one in at
    )
    straight = "A straight axis is taken for granted between and beyond the two planes."
    return Report(f"{answer}.", rows=(*rows, straight))
