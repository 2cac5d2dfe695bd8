"""Tells when a full turn has ended while samples are still coming.

Looks only when the count has passed a mark, and only at what came since the turn before, so that a long
recording costs no more a turn than a short one. Knows nothing of fits.
"""

from dataclasses import dataclass

from analysis.capture import Capture, Turn, cut_turns
from analysis.errors import BadInput
from logger.session.mark_in_force import MarkInForce
from logger.session.session import Session
from logger.stream import HostTime


@dataclass(frozen=True)
class FinishedTurnSamples:
    """A turn that has just ended, with the samples it lies in."""

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
        self._passed = 0
        self._boots = 1
        self._start = 0
        self._zero: float | None = 0.0
        self._seen: set[tuple[int, float | None, int, int]] = set()
        self.turns = 0
        """Turns ended so far."""

    def look(self, session: Session, heard: HostTime) -> list[FinishedTurnSamples]:
        """Return the turns that have ended since the last look; ``heard`` is when the newest item came."""
        if session.boots != self._boots:
            self._boots, self._start, self._passed = session.boots, 0, 0
        if session.zero_count != self._zero:
            # Turns are numbered from the newest mark: those before it are other turns.
            self._zero, self._passed = session.zero_count, 0
        whole_turns = session.whole_turns
        if whole_turns == self._passed or session.reading_mm is None:
            return []
        self._passed = whole_turns
        try:
            capture = session.newest(self._start)
        except BadInput:
            return []  # not enough yet to tell an angle by; the end of the recording will say so
        ended: list[FinishedTurnSamples] = []
        for turn in cut_turns(capture.samples):
            key = (self._boots, self._zero, turn.number, turn.direction)
            if key in self._seen:
                continue
            self._seen.add(key)
            ended.append(FinishedTurnSamples(self.turns, turn, capture, heard, session.mark))
            self.turns += 1
        if ended:
            self._start += int(ended[-1].turn.where[-1])
        return ended
