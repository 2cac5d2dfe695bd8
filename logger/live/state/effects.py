"""Effects: what ``update`` asks to be done outside the state; the runtime does it, some of it the window."""

from collections.abc import Mapping
from dataclasses import dataclass

from analysis.capture import Floats
from analysis.capture.events import Event
from logger.live.state.messages import ShowText
from logger.live.state.state import LiveState
from logger.session import FinishedTurnSamples


@dataclass(frozen=True)
class Record:
    """Have an event recorded; it comes back and counts then."""

    event: Event


@dataclass(frozen=True)
class WriteSetup:
    """Have a whole set-up checked, recorded and used."""

    text: Mapping[str, str]


@dataclass(frozen=True)
class CompleteSetup:
    """Look up what was kept of a part, and come back with it."""

    part: str
    changes: Mapping[str, str]


@dataclass(frozen=True)
class KeepSetup:
    """Keep a set-up for this board and this part."""

    board: str
    text: Mapping[str, str]


@dataclass(frozen=True)
class MeetBoard:
    """A board has answered: use what was kept of it, and know its port the next time."""

    name: str


@dataclass(frozen=True)
class KeepRecording:
    """Keep the recording under a name."""

    name: str


@dataclass(frozen=True)
class StoreTurn:
    """Keep a turn in the store."""

    samples: FinishedTurnSamples


@dataclass(frozen=True)
class ClearPass:
    """Forget the newest pass round the part."""


@dataclass(frozen=True)
class DrawStop:
    """Draw one reading taken standing."""

    deg: float
    reading_mm: float


@dataclass(frozen=True)
class DrawTurn:
    """Draw a whole turn whose angles (rad) are known only now."""

    angle_rad: Floats
    reading_mm: Floats


@dataclass(frozen=True)
class SetExtremes:
    """High and low so far become these, (mm, degrees or NaN); None begins them anew."""

    high: tuple[float, float] | None = None
    low: tuple[float, float] | None = None


@dataclass(frozen=True)
class AwaitReading:
    """The newest value is of a board that was away: wait for the next."""


@dataclass(frozen=True)
class Refuse:
    """Raise BadInput with these words at whoever asked."""

    words: str


@dataclass(frozen=True)
class RingBells:
    """Ring so many bells. For the window."""

    times: int


@dataclass(frozen=True)
class PressPrimary:
    """The board's button was pressed: as SPACE. For the window."""


@dataclass(frozen=True)
class Announce:
    """An event has come back and counts. For the window, which has a job to follow."""

    event: Event


ForWindow = RingBells | PressPrimary | Announce
Effect = (
    Record
    | WriteSetup
    | CompleteSetup
    | KeepSetup
    | MeetBoard
    | KeepRecording
    | StoreTurn
    | ClearPass
    | DrawStop
    | DrawTurn
    | SetExtremes
    | AwaitReading
    | Refuse
    | ShowText
    | ForWindow
)
Updated = tuple[LiveState, tuple[Effect, ...]]
"""What ``update`` returns: the next state, and what is to be done."""
