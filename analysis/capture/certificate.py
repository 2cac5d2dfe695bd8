"""The gauge's certificate: its errors over the range, taken off as a step of their own, and when it is due.

Knows nothing of turns; the table is what a calibration laboratory wrote, in the gauge's own readings.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from analysis.capture.samples import Capture, Floats
from analysis.setup import Setup


@dataclass(frozen=True)
class Certificate:
    """Errors of a gauge against its own reading; both arrays have shape (n,), readings rising."""

    reading_mm: Floats
    error_mm: Floats
    """Shown less true."""

    @staticmethod
    def of(table_mm: Sequence[tuple[float, float]]) -> "Certificate | None":
        """Return that of a table of (reading, error), mm; None where it has no row."""
        if not table_mm:
            return None
        readings, errors = np.array(table_mm, np.float64).T
        return Certificate(readings, errors)

    def error_at(self, reading_mm: Floats) -> Floats:
        """Return the error at these readings: linear between points, the end's own beyond the ends."""
        return np.asarray(np.interp(reading_mm, self.reading_mm, self.error_mm))


def certificate_of(setup: Setup) -> Certificate | None:
    """Return the certificate of a set-up's gauge; None where it has none."""
    return Certificate.of(setup.gauge_table_mm)


def corrected_by_certificate(capture: Capture) -> Capture:
    """Return the capture with the certificate's errors taken off its readings."""
    table = certificate_of(capture.setup)
    if table is None:
        return capture
    reading = capture.samples.reading_mm
    return replace(capture, samples=replace(capture.samples, reading_mm=reading - table.error_at(reading)))


def overdue(setup: Setup, on: date) -> str:
    """Return what is to be said of the certificate's due date on a day; empty while it is not past."""
    due = setup.gauge_due
    return f"the gauge's certificate was due on {due.isoformat()}" if due is not None and due < on else ""
