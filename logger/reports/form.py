"""Form over the tracks of one set-up, as text and as JSON; the keys are a promise."""

from typing import Any

from analysis.measurands import Form
from analysis.units import format_count, format_length
from logger.reports.phrases import Report
from logger.reports.to_json import to_json


def as_json(form: Form) -> dict[str, Any]:
    """Return what ``sweep --form`` adds."""
    return to_json(
        {
            "lsc_mm": form.lsc_mm,
            "mzc_mm": form.mzc_mm,
            "mic_mm": form.mic_mm,
            "mcc_mm": form.mcc_mm,
            "flatness_mm": form.flatness_mm,
            "total_mm": form.total_mm,
        }
    )


def as_text(form: Form, tracks: int, unit: str) -> Report:
    """Return the lines ``sweep --form`` adds; ``tracks`` is how many sweeps the total is over."""
    named = {
        "roundness, least squares": form.lsc_mm,
        "roundness, minimum zone": form.mzc_mm,
        "roundness, inscribed": form.mic_mm,
        "roundness, circumscribed": form.mcc_mm,
        "flatness, minimum zone": form.flatness_mm,
        f"total over {format_count(tracks, 'track')}": form.total_mm,
    }
    rows = (f"{name:<26} {format_length(mm, unit)}" for name, mm in named.items() if mm is not None)
    of = "from the fitted curve" if form.points is None else f"of {form.points} points as they were read"
    return Report(f"Form, {of}:", rows=tuple(rows))
