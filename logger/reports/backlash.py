"""Backlash at a few places round a gear, as text and as JSON; the keys are a promise."""

from typing import Any

from analysis.measurands import Backlash
from analysis.units import format_both, format_length
from logger.inputs import AnalysedSweep
from logger.reports.phrases import Report, trust_in_sweeps
from logger.reports.to_json import to_json
from logger.reports.torque import MAKER


def as_json(found: Backlash) -> dict[str, Any]:
    """Return the object of ``backlash``."""
    return to_json(
        {
            "mean_mm": found.mean_mm,
            "range_mm": found.range_mm,
            "first_mm": found.first_mm,
            "low_deg": found.low_deg,
            "expected_range_mm": found.expected_range_mm,
            "angle_to_runout_deg": found.angle_to_runout_deg,
        }
    )


def as_text(found: Backlash, sweep: AnalysedSweep | None, unit: str) -> Report:
    """Return the text of ``backlash``; ``sweep`` is that of the face it is held against."""
    notes = [
        f"Once-round part: {format_length(found.first_mm, unit)} TIR, least at {found.low_deg:.0f} deg past "
        "the mark."
    ]
    if found.angle_to_runout_deg is not None:
        notes.append(
            f"The place of least backlash lies {found.angle_to_runout_deg:.0f} deg past the face's high side."
        )
    if found.expected_range_mm is not None:
        notes.append(
            f"The runout alone would make a range of {format_length(found.expected_range_mm, unit)} by the "
            "factor entered."
        )
    return Report(
        f"Backlash {format_both(found.mean_mm, unit)} on the mean of {found.places} places, range "
        f"{format_length(found.range_mm, unit)}.",
        trust_in_sweeps([sweep]) if sweep else (),
        notes=(*notes, MAKER),
    )
