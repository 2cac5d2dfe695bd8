"""Has the session take what was written, and watches it for turns that end; in whichever thread decodes."""

import threading
from collections.abc import Callable
from dataclasses import dataclass

from analysis.errors import FullturnError
from logger.decoding import LinkOutput
from logger.session import FinishedTurnSamples, Session, SweepUnderWay, TurnDetector
from logger.stream import HostTime, Item

KEPT_SAMPLES = 1 << 16
"""So many of the newest samples a session keeps: a first mark holds for those before it too."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of an item in the session."""

    item: Item
    outputs: list[LinkOutput]
    ended: list[FinishedTurnSamples]
    error: FullturnError | None = None
    fault: Exception | None = None


class WatchedSession:
    """One session, fed item by item."""

    def __init__(
        self,
        session: Session,
        after_item: Callable[[Session, HostTime], None] | None,
        under_way: SweepUnderWay | None = None,
    ) -> None:
        """``after_item`` sees the session after each item; with ``under_way`` old samples are forgotten."""
        self._session, self._after_item, self._under_way = session, after_item, under_way
        self._detector = TurnDetector()
        self.lock = threading.Lock()
        """Held while the session takes an item; whoever reads the session elsewhere holds it too."""

    @property
    def turns(self) -> int:
        """How many turns have ended so far."""
        return self._detector.turns

    def take(self, item: Item) -> Outcome:
        """Have the session take an item. What it raises is told, not raised."""
        outputs: list[LinkOutput] = []
        ended: list[FinishedTurnSamples] = []
        try:
            with self.lock:
                outputs = self._session.take(item)
                ended = self._detector.look(self._session, item.host)
                if self._under_way is not None:
                    self._under_way.take(self._session)
                    self._forget(self._under_way)
                if self._after_item is not None:
                    self._after_item(self._session, item.host)
        except FullturnError as error:
            return Outcome(item, outputs, ended, error=error)
        except Exception as fault:
            return Outcome(item, outputs, ended, fault=fault)
        return Outcome(item, outputs, ended)

    def _forget(self, under_way: SweepUnderWay) -> None:
        """Have the session forget what everybody has taken, but for the newest samples; not each time."""
        session = self._session
        if session.samples_of_newest - session.forgotten < 2 * KEPT_SAMPLES or not session.tells_counts:
            return
        kept = session.samples_of_newest - KEPT_SAMPLES
        session.forget(min(kept, self._detector.seen_to, under_way.taken(session)))
