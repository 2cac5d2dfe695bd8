"""Messages to ``update``: what has happened, and what a person wants (intents).

A recorded event (``analysis.capture.events``) is a message too: it counts only once it has come back through
the worker, so that owner, follower and replay see the same.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from analysis.capture import Window
from analysis.capture.events import Event
from analysis.errors import FullturnError
from analysis.setup import MarkSide
from logger.live.state.state import FinishedTurn
from logger.live.state.sweep_so_far import SweepSoFar
from logger.session import FinishedTurnSamples

# --- what has happened -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Ticked:
    """The timer looked; ``now_s`` on the window's clock."""

    now_s: float


@dataclass(frozen=True)
class BoardAnswered:
    """The board streams; ``name`` is its own, or the port of a gauge that prints lines."""

    name: str


@dataclass(frozen=True)
class TurnEnded:
    """A full turn has ended, with its own numbers."""

    turn: FinishedTurn
    samples: FinishedTurnSamples


@dataclass(frozen=True)
class PlaceRead:
    """A stop was pressed: its reading, None where there was none, and what to say."""

    reading_mm: float | None
    words: str


@dataclass(frozen=True)
class AnalysisDone:
    """All turns so far were analysed."""

    analysis: SweepSoFar


@dataclass(frozen=True)
class IndicatorPressed:
    """The reading jumped as it does when somebody presses the indicator's own buttons."""

    why: str


@dataclass(frozen=True)
class ReadingEnded:
    """Nothing more is read; ``error`` says why where it was not asked for."""

    error: FullturnError | None


@dataclass(frozen=True)
class MessageShown:
    """Words are shown until a time of the window's clock, seconds."""

    words: str
    until_s: float


@dataclass(frozen=True)
class RecordingKept:
    """The recording has a name of its own."""

    path: Path


@dataclass(frozen=True)
class SetupCompleted:
    """Values of the set-up as entered, with what was kept of the part that was named."""

    changes: Mapping[str, str]


Happened = (
    Ticked
    | BoardAnswered
    | TurnEnded
    | PlaceRead
    | AnalysisDone
    | IndicatorPressed
    | ReadingEnded
    | MessageShown
    | RecordingKept
    | SetupCompleted
)

# --- what a person wants -----------------------------------------------------------------------------


@dataclass(frozen=True)
class TouchMark:
    """The mark of this side is under the tip now."""

    on: MarkSide


@dataclass(frozen=True)
class TakeTurn:
    """Give the last full turn its star; with stops take the place the part stands at.

    After a restart, or where the sweep is broken: the mark that angles count from is under the tip.
    """


@dataclass(frozen=True)
class ZeroReading:
    """Let the shown reading count from here."""


@dataclass(frozen=True)
class ClearExtremes:
    """Begin high and low so far anew."""


@dataclass(frozen=True)
class ExcludeTurn:
    """A full turn counts no more."""

    reason: str
    turn: FinishedTurn | None = None
    """The one that was meant when the reason was asked for; None: the last."""


@dataclass(frozen=True)
class ExcludeWindow:
    """A window of the turn counts no more."""

    window: Window


@dataclass(frozen=True)
class Undo:
    """Take back what was done last."""


@dataclass(frozen=True)
class NameRecording:
    """Keep the recording under a name."""

    name: str


@dataclass(frozen=True)
class ChangeSetup:
    """Change values of the set-up; an empty one is taken out."""

    changes: Mapping[str, str]


@dataclass(frozen=True)
class EnterSetup:
    """The same by a person: a part that is named anew brings what was kept of it, and it is kept."""

    changes: Mapping[str, str]


@dataclass(frozen=True)
class Note:
    """Have an event recorded that changes nothing that is shown."""

    event: Event


@dataclass(frozen=True)
class CheckIndicator:
    """The indicator's check begins or ends."""

    running: bool


@dataclass(frozen=True)
class ShowText:
    """Show what a key did, for a while. An effect too."""

    words: str


Intent = (
    TouchMark
    | TakeTurn
    | ZeroReading
    | ClearExtremes
    | ExcludeTurn
    | ExcludeWindow
    | Undo
    | NameRecording
    | ChangeSetup
    | EnterSetup
    | Note
    | CheckIndicator
    | ShowText
)
Message = Event | Happened | Intent
