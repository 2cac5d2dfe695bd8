"""What a worker tells whoever stores and shows: its messages, in the order in which things happened.

They wait in a queue of bounded memory, however long nobody takes them: none may be lost, for turns go into
the store and what is shown hangs on every event.
"""

from dataclasses import dataclass, fields
from pathlib import Path

from analysis.capture.events import Event
from analysis.errors import FullturnError
from logger.acquisition.spilling_queue import SpillingQueue
from logger.session import FinishedTurnSamples
from logger.stream import HostTime

MOST_BYTES = 32 << 20
"""So much waits in memory: minutes of turns. What is more lies on disk."""
LIGHT_BYTES = 1 << 10
"""About what a message holds besides readings."""


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


def message_queue(folder: Path | None) -> SpillingQueue[WorkerMessage]:
    """Return the queue in which a worker's messages wait; ``folder``: that of its recording, if any."""
    return SpillingQueue(MOST_BYTES, _size_of, folder)


def _size_of(message: WorkerMessage) -> int:
    if not isinstance(message, FinishedTurnSamples):
        return LIGHT_BYTES
    samples = message.capture.samples
    columns = [getattr(samples, column.name) for column in fields(samples)]
    return LIGHT_BYTES + sum(int(column.nbytes) for column in columns if column is not None)
