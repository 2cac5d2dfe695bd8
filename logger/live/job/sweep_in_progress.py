"""One sweep being taken at a desk: marks touched, full turns counted, noted as begun and as taken.

Nothing counts before its event has come back through the worker.
"""

import uuid
from dataclasses import dataclass, field, replace

from analysis.capture.events import SweepBegun, SweepTaken
from logger.job import PUSH_PULL
from logger.live.state.runtime import FinishedTurn, LiveRuntime

LATE_NS = 150_000_000
"""A turn seen to end so much later than it did still counts as begun after the press."""


@dataclass
class SweepInProgress:
    """One sweep of a step."""

    step: str
    attempt: int
    takes: str
    """``push-pull`` or ``turns``."""
    marks: list[str]
    """Marks still to be touched, the next one first."""
    fresh: bool
    """True where no turn can have begun before: the bench was just set up, or the mark was just touched."""
    zero: str = "part"
    """Whose mark turns are counted from."""
    id: str = field(default_factory=lambda: str(uuid.uuid4()))
    begun_ns: int | None = None
    """When it was noted as begun; None before."""
    turns: list[FinishedTurn] = field(default_factory=list)
    """Full turns so far."""
    pending: bool = False
    """True once it was noted as taken and has not come back yet."""
    _seen: int = -1

    def begin(self, runtime: LiveRuntime) -> None:
        """Note that it begins now."""
        self.begun_ns = runtime.now_ns()
        self._seen = -1 if self.fresh or not runtime.turns else runtime.turns[-1].result.turn
        runtime.note_plain(SweepBegun(self.id, self.step, self.attempt))

    def count(self, runtime: LiveRuntime, marks_again: list[str]) -> None:
        """Count the turns that have ended since; a sweep that broke begins anew with these marks."""
        if self.begun_ns is None or self.pending:
            return
        if runtime.broken or runtime.board == "restarted":
            self.turns.clear()
            if not self.marks and self.takes != PUSH_PULL:
                self.marks = marks_again
            return
        now_ns = runtime.now_ns()
        for kept in runtime.turns:
            if kept.result.turn <= self._seen:
                continue
            self._seen = kept.result.turn
            lasted_ns = round((kept.end_s - kept.start_s) * 1e9)
            if self.fresh or now_ns - lasted_ns >= self.begun_ns - LATE_NS:
                self.turns.append(kept)

    def take(self, runtime: LiveRuntime) -> None:
        """Note that it is taken, with the turns it has; says so where it has none."""
        taken = SweepTaken(self.id, self.step, self.attempt)
        if self.takes != PUSH_PULL:
            if not self.turns:
                runtime.say("no full turn yet: turn once round past the mark")
                return
            taken = replace(
                taken,
                from_turn=self.turns[0].result.turn,
                to_turn=self.turns[-1].result.turn,
                from_s=min(kept.start_s for kept in self.turns),
                to_s=max(kept.end_s for kept in self.turns),
            )
        self.pending = True
        runtime.note_plain(taken)

    def touched(self, on: str) -> bool:
        """A mark was touched; tell whether it was the one that was asked for."""
        if on == self.zero and not self.marks:
            self.turns.clear()  # another zero: the turns before it are other turns
            self.fresh = True
        if not self.marks or on != self.marks[0]:
            return False
        self.marks.pop(0)
        if on == self.zero:
            self.fresh = True
            self.turns.clear()
        return True
