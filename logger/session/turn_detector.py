"""Tells when a full turn has ended while samples are still coming.

Looks only when the count has passed a mark, and only at what can still end a turn, so that a long recording
costs no more a reading than a short one, whether turns end or not. Knows nothing of fits.
"""

import math
from dataclasses import dataclass

import numpy as np

from analysis.capture import FULL_TURN_RAD, Capture, Turn, cut_turns, split_runs
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
        self._boots = 1
        self._zero: float | None = 0.0
        self._start = self._seen_to = 0
        """From which sample of the newest boot on turns may end yet, and up to which they were watched."""
        self._lowest = self._highest = 0
        """Counts met since ``_start``."""
        self._passed: object = 0
        """In which turns these lay when turns were looked for last."""
        self._told: set[tuple[int, float | None, int, int]] = set()
        self.turns = 0
        """Turns ended so far."""

    def look(self, session: Session, heard: HostTime) -> list[FinishedTurnSamples]:
        """Return the turns that have ended since the last look; ``heard`` is when the newest item came."""
        if session.boots != self._boots:
            self._boots, self._start, self._seen_to, self._passed = session.boots, 0, 0, 0
        if session.zero_count != self._zero:
            # Turns are numbered from the newest mark: those before it are other turns.
            self._zero, self._passed = session.zero_count, 0
        passed = self._turns_met(session)
        if passed == self._passed or session.reading_mm is None:
            return []
        self._passed = passed
        try:
            capture = session.newest(self._start)
        except BadInput:
            return []  # not enough yet to tell an angle by; the end of the recording will say so
        ended: list[FinishedTurnSamples] = []
        last = 0
        for turn in cut_turns(capture.samples):
            last = int(turn.where[-1])
            key = (self._boots, self._zero, turn.number, turn.direction)
            if key in self._told:
                continue
            self._told.add(key)
            ended.append(FinishedTurnSamples(self.turns, turn, capture, heard, session.mark))
            self.turns += 1
        self._let_go(session, last)
        return ended

    def _turns_met(self, session: Session) -> object:
        """Return in which turns the lowest and the highest count lie that can still make one full.

        A hand that trembles about the mark changes neither, however long it does.
        """
        new = session.counts(self._seen_to)
        if new is None:
            return session.whole_turns
        if len(new):
            fresh = self._seen_to == self._start
            lowest, highest = int(new.min()), int(new.max())
            self._lowest = lowest if fresh else min(lowest, self._lowest)
            self._highest = highest if fresh else max(highest, self._highest)
            self._seen_to += len(new)
        if self._zero is None or self._seen_to == self._start:
            return 0
        whole = [
            math.floor((count - self._zero) / session.counts_per_turn)
            for count in (self._lowest, self._highest)
        ]
        return tuple(whole) if any(whole) else 0

    def _let_go(self, session: Session, last: int) -> None:
        """Look no more at what is over: turns found, runs that ended, all but two turns of this run.

        ``last``: place, from ``_start`` on, of the last sample of the last turn found. Without this a hand
        that never ends a turn would cost more with every mark that it passes.
        """
        counts = session.counts(self._start)
        if counts is None or self._zero is None or not len(counts):
            return
        angle_rad = np.asarray((counts - self._zero) * (FULL_TURN_RAD / session.counts_per_turn), np.float64)
        run = split_runs(angle_rad)[-1]
        turn = np.floor(np.maximum.accumulate(angle_rad[run.start :] * run.direction) / FULL_TURN_RAD)
        begun = run.start + int(np.searchsorted(turn, turn[-1] - 1.0))
        self._start += max(last, run.start, begun - 1)
        self._seen_to = self._start
        self._passed = self._turns_met(session)
