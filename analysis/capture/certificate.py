"""The gauge's certificate: its errors over the range, taken off as a step of their own, and when it is due.

Knows nothing of turns; the table is what a calibration laboratory wrote, in the gauge's own readings.
"""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from analysis.capture.samples import Capture, Floats
from analysis.capture.typed_readings import parse_pairs
from analysis.errors import BadInput


@dataclass(frozen=True)
class Certificate:
    """Errors of a gauge against its own reading; both arrays have shape (n,), readings rising."""

    reading_mm: Floats
    error_mm: Floats
    """Shown less true."""

    def error_at(self, reading_mm: Floats) -> Floats:
        """Return the error at these readings: linear between points, the end's own beyond the ends."""
        return np.asarray(np.interp(reading_mm, self.reading_mm, self.error_mm))


def parse_certificate(text: str) -> Certificate | None:
    """Read ``0:0 1:+0.001 2:-0.002 mm``: reading and error of each point, one unit; None where empty.

    Raises BadInput for fewer than two points, a reading twice, or anything else.
    """
    if not text.strip():
        return None
    readings, errors = parse_pairs(text, "gauge_table")
    if len(readings) < 2 or len(np.unique(readings)) != len(readings):
        raise BadInput(f"gauge_table {text!r}: at least two different readings with their errors are needed")
    order = np.argsort(readings)
    return Certificate(readings[order], errors[order])


def corrected_by_certificate(capture: Capture) -> Capture:
    """Return the capture with the certificate's errors taken off its readings."""
    table = parse_certificate(capture.setup.text.get("gauge_table", ""))
    if table is None:
        return capture
    reading = capture.samples.reading_mm
    return replace(capture, samples=replace(capture.samples, reading_mm=reading - table.error_at(reading)))


def overdue(gauge_due: str, today: date) -> str:
    """Return what is to be said of the certificate's due date; empty while it is not past.

    Raises BadInput for a date that is not written like 2026-03-31.
    """
    if not gauge_due.strip():
        return ""
    try:
        due = date.fromisoformat(gauge_due.strip())
    except ValueError as error:
        raise BadInput(f"gauge_due {gauge_due!r} is no date: write it like 2026-03-31") from error
    return f"the gauge's certificate was due on {due.isoformat()}" if due < today else ""
