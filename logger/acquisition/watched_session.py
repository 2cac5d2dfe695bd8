"""Has the session take what was written, and watches it for turns that end; in whichever thread decodes."""

import threading
from collections.abc import Callable
from dataclasses import dataclass

from analysis.errors import FullturnError
from logger.decoding import LinkOutput
from logger.session import FinishedTurnSamples, Session, TurnDetector
from logger.stream import HostTime, Item


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

    def __init__(self, session: Session, after_item: Callable[[Session, HostTime], None] | None) -> None:
        """``after_item`` sees the session after each item."""
        self._session, self._after_item = session, after_item
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
                if self._after_item is not None:
                    self._after_item(self._session, item.host)
        except FullturnError as error:
            return Outcome(item, outputs, ended, error=error)
        except Exception as fault:
            return Outcome(item, outputs, ended, fault=fault)
        return Outcome(item, outputs, ended)
