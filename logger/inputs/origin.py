"""Where a sweep came from: its file, the identity of its recording, when it was measured, its checksum."""

from dataclasses import dataclass
from datetime import date, datetime

from analysis.capture import FromRecording


@dataclass(frozen=True)
class SweepOrigin:
    """Where a sweep came from."""

    file: str
    recording_id: str | None
    closed: bool | None
    measured: str | None = None
    """When its recording was begun, ISO 8601; None where no recording says so."""
    sha256: str | None = None
    """Checksum of the file; None where there is none."""
    from_recording: FromRecording | None = None
    """Of an exported file: what it says of the recording that it came from."""
    practice: bool = False
    """True where it came from the virtual bench: no part was measured."""

    def measured_on(self, today: date) -> date:
        """Return the day it was measured; ``today`` where nothing says when."""
        try:
            return datetime.fromisoformat(self.measured or "").date()
        except ValueError:
            return today


UNKNOWN_ORIGIN = SweepOrigin("", None, None)
"""Of a sweep that was handed over as numbers."""
