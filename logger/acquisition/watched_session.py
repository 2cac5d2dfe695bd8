"""Has the session take what was written, and watches it for turns that end; in whichever thread decodes."""

import threading
from collections.abc import Callable
from dataclasses import dataclass

from analysis.errors import FullturnError
from logger.decoding import LinkOutput
from logger.session import FinishedTurnSamples, Session, SweepUnderWay, TurnDetector
from logger.stream import HostTime, Item

KEPT_SAMPLES = 1 << 16
"""So many of the newest samples a session keeps that only records: a first mark holds for some before it."""


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
        kept_samples: int = KEPT_SAMPLES,
    ) -> None:
        """``after_item`` sees the session after each item.

        With ``under_way`` old samples are forgotten: the newest ``kept_samples`` of a boot stay at least.
        """
        self._session, self._after_item, self._under_way = session, after_item, under_way
        self._kept_samples = kept_samples
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
        held = session.samples_of_newest - session.forgotten
        if held < 2 * self._kept_samples or not session.tells_counts:
            return
        kept = session.samples_of_newest - self._kept_samples
        session.forget(min(kept, self._detector.seen_to, under_way.taken(session)))
