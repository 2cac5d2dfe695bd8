"""One part of a batch as a row of numbers and words."""

from dataclasses import dataclass

from logger.reports.phrases import STATE_WORDS

REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class BatchRow:
    """One part of a batch, lengths in mm, angles in degrees; the fields are the columns of its CSV."""

    number: int
    part: str
    measured: str
    tir_mm: float
    tir_low_mm: float
    tir_high_mm: float
    high_point_deg: float
    tir_first_mm: float
    high_side_deg: float
    limit_mm: float | None
    state: str
    """``within``, ``over``, ``undecided``, ``refused``, or ``no decision``."""
    in_doubt: str
    """Checks that are not clear, with their state; ``clear`` where all are."""
    operator: str
    recording: str
    """First digits of its recording's identity, or of its file's checksum."""
    serial: str = ""
    """Empty where its set-up names none."""
    suspect: str = ""
    """The check that was out and that it hangs on; empty where none."""
    second_tir_mm: float | None = None
    """TIR after it was taken off and put on again; None where it was not."""
    change_tir_mm: float | None = None
    """TIR of the difference of both in order 1, as vectors."""
    change_deg: float | None = None
    """Where that difference is high."""
    reason: str = ""
    """Why it was left out; only of a part that was."""

    @property
    def refused(self) -> bool:
        """Tell whether a check refused it: then no number of it is to be relied on."""
        return self.state == REFUSED

    @property
    def name(self) -> str:
        """Its serial, else what the part is called."""
        return self.serial or self.part

    @property
    def words(self) -> str:
        """The state in words."""
        if self.refused:
            return "refused by a check: measure again"
        if self.suspect:
            return f"{STATE_WORDS.get(self.state, self.state)}; SUSPECT: check standard out"
        return STATE_WORDS.get(self.state, self.state)
