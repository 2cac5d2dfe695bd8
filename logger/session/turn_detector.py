"""Tells when a full turn has ended while samples are still coming.

Of an encoder's samples each is looked at once, so that a long recording costs no more a reading than a short
one, whether turns end or not. Knows nothing of fits.
"""

from dataclasses import dataclass, replace

import numpy as np

from analysis.capture import Capture, Turn, TurnCutter, TurnSamples, cut_turns
from analysis.errors import BadInput
from logger.session.mark_in_force import MarkInForce
from logger.session.session import Session
from logger.stream import HostTime


@dataclass(frozen=True)
class FinishedTurnSamples:
    """A turn that has just ended, with its samples."""

    number: int
    """Position among the turns ended so far, from 0."""
    turn: Turn
    capture: Capture
    """Holds the turn's samples; ``turn.where`` points into it."""
    heard: HostTime
    """When the host had what ended it."""
    mark: MarkInForce | None
    """The mark its angles count from; None where they count from none."""


class TurnDetector:
    """Watches one session."""

    def __init__(self) -> None:
        self._boots = 1
        self._zero: float | None = 0.0
        self._cutter = TurnCutter(at_once=True)
        self._fed_from = self._seen_to = 0
        """From which sample of the newest boot on the cutter was fed, and up to which."""
        self._ended_at = 0
        """Number of the last sample of the newest turn found in it."""
        self._whole_turns = 0
        """In which turn readings lay when turns were looked for last, where no encoder counts them."""
        self._found: set[tuple[int, float | None, int, int]] = set()
        self.turns = 0
        """Turns ended so far."""

    def look(self, session: Session, heard: HostTime) -> list[FinishedTurnSamples]:
        """Return the turns that have ended since the last look; ``heard`` is when the newest item came."""
        if session.boots != self._boots:
            self._boots, self._ended_at = session.boots, 0
            self._begin(0)
        if session.zero_count != self._zero:
            # Turns are numbered from the newest mark: those before it are other turns.
            self._zero = session.zero_count
            self._begin(max(self._ended_at, session.forgotten))
        if session.reading_mm is None:
            return []
        try:
            found = self._by_counts(session) if session.tells_counts else self._by_whole_sweep(session)
        except BadInput:
            return []  # not enough yet to tell an angle by; the end of the recording will say so
        ended: list[FinishedTurnSamples] = []
        for turn, capture in found:
            key = (self._boots, self._zero, turn.number, turn.direction)
            if key in self._found:
                continue
            self._found.add(key)
            ended.append(FinishedTurnSamples(self.turns, turn, capture, heard, session.mark))
            self.turns += 1
        return ended

    @property
    def seen_to(self) -> int:
        """Samples of the newest boot before this number are not asked for again."""
        return self._seen_to

    def _begin(self, start: int) -> None:
        """Look anew from this sample of the newest boot on."""
        self._cutter, self._fed_from, self._seen_to = TurnCutter(at_once=True), start, start
        self._whole_turns = 0

    def _by_counts(self, session: Session) -> list[tuple[Turn, Capture]]:
        """Cut what has come since."""
        if self._zero is None or session.samples_of_newest == self._seen_to:
            return []
        new = session.newest(self._seen_to)
        self._seen_to = session.samples_of_newest
        found = []
        for ended in self._cutter.feed(new.samples):
            self._ended_at = self._fed_from + int(ended.turn.where[-1])
            found.append((_in_its_own(ended), replace(new, samples=ended.samples)))
        return found

    def _by_whole_sweep(self, session: Session) -> list[tuple[Turn, Capture]]:
        """Cut everything so far, each time another turn is met: such sweeps are short."""
        if session.whole_turns == self._whole_turns:
            return []
        self._whole_turns = session.whole_turns
        capture = session.newest()
        return [(turn, capture) for turn in cut_turns(capture.samples)]


def _in_its_own(ended: TurnSamples) -> Turn:
    return replace(ended.turn, where=np.arange(len(ended.samples)))
