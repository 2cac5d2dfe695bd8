"""What a worker tells whoever stores and shows: its messages, in the order in which things happened."""

from dataclasses import dataclass

from analysis.capture.events import Event
from analysis.errors import FullturnError
from logger.session import FinishedTurnSamples
from logger.stream import HostTime


@dataclass(frozen=True, slots=True)
class BoardStarted:
    """The board answered and streams."""

    board: str
    """Its device number, as text."""


@dataclass(frozen=True, slots=True)
class WorkerEnded:
    """The last message of a worker."""

    error: FullturnError | None
    """Why it ended, where it did not end as asked."""
    turns: int
    short: bool = False
    """Whether it ended by itself before the turns or seconds asked for had come."""


@dataclass(frozen=True, slots=True)
class StopRead:
    """A stop was pressed, or the mark's button while the part turned."""

    reading_mm: float | None
    """Median of the still second; None where there was none."""
    words: str
    """What to tell the person."""


@dataclass(frozen=True, slots=True)
class EventTaken:
    """An event that was taken: noted by a person or the board, or read from a recording."""

    host: HostTime
    event: Event


@dataclass(frozen=True, slots=True)
class Warned:
    """Something that a person should know at once, and that ends nothing."""

    words: str


WorkerMessage = BoardStarted | StopRead | EventTaken | FinishedTurnSamples | Warned | WorkerEnded
