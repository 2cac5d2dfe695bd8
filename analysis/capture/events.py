"""Events of a sweep: what a person, the board or the program noted. The one table between words and values.

Words (those given to ``recorded_as`` here) and keys are promised for ever; the classes are how the program
knows them. Counts are unwrapped encoder counts, times
(``from_s``, ``to_s``) seconds of the device's clock, angles degrees from the mark of the sweep.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from analysis.capture.event_registry import (
    KEY as KEY,
    REGISTRY as REGISTRY,
    WORD as WORD,
    Event as Event,
    TimedEvent as TimedEvent,
    recorded_as,
)
from analysis.setup import MarkSide

Extreme = tuple[float, float | None]
"""A highest or lowest reading (mm) and the angle it came at (degrees; None = not known)."""


class GapCause(StrEnum):
    """Why nothing came from a link for a while."""

    LOST = "lost"
    STALLED = "stalled"
    UNPLUGGED = "unplugged"


# --- marks, stops and buttons ------------------------------------------------------------------------


@recorded_as("mark")
@dataclass(frozen=True)
class MarkTouched(Event):
    """The mark of this side stood under the tip at this count."""

    on: MarkSide
    count: int


@recorded_as("mark-undone")
@dataclass(frozen=True)
class MarkUndone(Event):
    """The only mark of this side was taken back."""

    on: MarkSide


@recorded_as("count-zero")
@dataclass(frozen=True)
class CountZeroed(Event):
    """The board's count was set to zero."""


@recorded_as("stop")
@dataclass(frozen=True)
class StopPressed(Event):
    """The part stands at the next place; the board's button says at which count and time of its clock."""

    count: int | None = None
    t_us: int | None = None


@recorded_as("button")
@dataclass(frozen=True)
class ButtonPressed(Event):
    """A button of the board was pressed for the next step."""

    button: int
    count: int


@recorded_as("push")
@dataclass(frozen=True)
class Pushed(Event):
    """The shaft was pushed home."""


@recorded_as("pull")
@dataclass(frozen=True)
class Pulled(Event):
    """The shaft was pulled out."""


# --- the link ----------------------------------------------------------------------------------------


@recorded_as("gap")
@dataclass(frozen=True)
class LinkLost(Event):
    """Nothing came from this link from here on."""

    why: GapCause
    link: int = 0


@recorded_as("reopened")
@dataclass(frozen=True)
class LinkReopened(Event):
    """The link is there again; ``port`` names where, if elsewhere."""

    port: str = ""
    link: int = 0


@recorded_as("restart")
@dataclass(frozen=True)
class BoardRestarted(Event):
    """The board restarted: its count began again."""

    boot_id: int


@recorded_as("not-decoded")
@dataclass(frozen=True)
class NotDecoded(Event):
    """From here on the bytes of this link were kept and, when they came, not decoded; ``why`` in words."""

    why: str
    link: int = 0


# --- what is shown -----------------------------------------------------------------------------------


@recorded_as("reading-zero")
@dataclass(frozen=True)
class ReadingZeroed(Event):
    """The shown reading counts from here; the samples keep the indicator's own number."""

    reading_mm: float


@recorded_as("ends-cleared")
@dataclass(frozen=True)
class ExtremesCleared(Event):
    """High and low so far begin anew."""


@recorded_as("ends-restored")
@dataclass(frozen=True)
class ExtremesRestored(Event):
    """High and low so far are again what they were; None = none yet."""

    high: Extreme | None
    low: Extreme | None


@recorded_as("star")
@dataclass(frozen=True)
class TurnStarred(Event):
    """A turn got its star."""

    turn: int
    from_s: float
    to_s: float


@recorded_as("star-undone")
@dataclass(frozen=True)
class StarUndone(Event):
    """A turn lost its star again."""

    turn: int


# --- what does not count -----------------------------------------------------------------------------


@recorded_as("left-out")
@dataclass(frozen=True, kw_only=True)
class TurnExcluded(Event):
    """A turn counts no more."""

    id: int | None = None
    turn: int | None = None
    from_s: float
    to_s: float
    reason: str = ""


@recorded_as("left-out")
@dataclass(frozen=True, kw_only=True)
class WindowExcluded(Event):
    """A window of the turn counts no more."""

    id: int | None = None
    from_deg: float
    to_deg: float
    reason: str = ""


@recorded_as("left-out-undone")
@dataclass(frozen=True)
class ExclusionUndone(Event):
    """What was excluded under this id counts again."""

    id: int


@recorded_as("sweep-broken")
@dataclass(frozen=True)
class SweepBroken(Event):
    """The turns before this count no more."""

    why: str = "the sweep was broken"


# --- names, jobs and checks --------------------------------------------------------------------------


@recorded_as("named")
@dataclass(frozen=True)
class RecordingNamed(Event):
    """The recording was given a name."""

    name: str


@recorded_as("sweep-begun")
@dataclass(frozen=True)
class SweepBegun(Event):
    """A sweep of a job's step begins."""

    id: str
    step: str
    attempt: int


@recorded_as("sweep-taken")
@dataclass(frozen=True)
class SweepTaken(Event):
    """A sweep of a job's step is taken, with the first and last of its turns where it has any."""

    id: str
    step: str
    attempt: int
    from_turn: int | None = None
    to_turn: int | None = None
    from_s: float | None = None
    to_s: float | None = None


@recorded_as("end-float")
@dataclass(frozen=True)
class EndFloatMeasured(Event):
    """The end float of the shaft whose sweep this is, as measured before it."""

    float_mm: float


@recorded_as("still", "tap", "lift", "sense", "shim")
@dataclass(frozen=True)
class CheckDone(Event):
    """One result of the indicator's check; its name is the word it is written with."""

    name: str = field(metadata={KEY: WORD})
    state: str
    text: str


@recorded_as("learn")
@dataclass(frozen=True)
class EncoderMarked(Event):
    """The part's mark came round again, to calibrate the encoder."""

    count: int


@recorded_as("typed")
@dataclass(frozen=True)
class ReadingsTyped(Event):
    """Readings at clock places, as typed."""

    readings: str


# --- made while a sweep is read, never written -------------------------------------------------------


@recorded_as("closing")
@dataclass(frozen=True)
class ClosingReading(Event):
    """By how much the reading at the first place differed when it was returned to."""

    closing_mm: float


@recorded_as("moving-stops")
@dataclass(frozen=True)
class MovingStops(Event):
    """So many stops were pressed while the part still moved."""

    stops: int


@recorded_as("uneven-turns")
@dataclass(frozen=True)
class UnevenTurns(Event):
    """So many turns between index pulses were too uneven to count."""

    turns: int


@recorded_as("unit-changed")
@dataclass(frozen=True)
class UnitChanged(Event):
    """The gauge changed its unit on the way."""

    before: str = field(metadata={KEY: "from"})
    after: str = field(metadata={KEY: "to"})


@recorded_as("clock-backwards")
@dataclass(frozen=True)
class ClockBackwards(Event):
    """The clock of a gauge that prints lines went back so many times."""

    times: int
