"""One sweep of a step being taken: marks touched, full turns counted, recorded as begun and as taken.

Nothing counts before its event has come back through the worker.
"""

from dataclasses import dataclass, replace

from analysis.capture.events import SweepBegun, SweepTaken
from analysis.setup import MarkSide
from logger.job import StepSweep
from logger.live.state.state import FinishedTurn, LinkState, LiveState

PUSH_AND_PULL = "push home, pull out, hold each for a second"
LATE_NS = 150_000_000
"""A turn seen to end so much later than it did still counts as begun after the press."""


@dataclass(frozen=True)
class SweepInProgress:
    """One sweep of a step."""

    id: str
    step: str
    attempt: int
    takes: StepSweep
    marks: tuple[MarkSide, ...] = ()
    """Marks still to be touched, the next one first."""
    fresh: bool = False
    """True where no turn can have begun before: the bench was just set up, or the mark was just touched."""
    zero: MarkSide = MarkSide.PART
    """Whose mark turns are counted from."""
    begun_ns: int | None = None
    """When it was recorded as begun; None before."""
    touched_ns: int | None = None
    """When the last of its marks came back as touched; None before the first."""
    to_confirm: bool = False
    """Both marks were touched for it, and nobody has said yet that the angle between them is right."""
    turns: tuple[FinishedTurn, ...] = ()
    """Full turns so far."""
    pending: bool = False
    """True once it was recorded as taken and has not come back yet."""
    seen: int = -1
    """Number of the last turn that was looked at."""

    def begun(self, live: LiveState, now_ns: int) -> "SweepInProgress":
        """Return it as begun now."""
        last = live.sweep.last
        seen = -1 if self.fresh or last is None else last.result.turn
        return replace(self, begun_ns=now_ns, seen=seen)

    def begun_event(self) -> SweepBegun:
        """Return the event that records its beginning."""
        return SweepBegun(id=self.id, step=self.step, attempt=self.attempt)

    def counted(self, live: LiveState, now_ns: int, marks_again: tuple[MarkSide, ...]) -> "SweepInProgress":
        """Return it with the turns that have ended since; one that broke begins anew with these marks."""
        if self.begun_ns is None or self.pending:
            return self
        if live.sweep.broken or live.link is LinkState.RESTARTED:
            again = not self.marks and self.takes is not StepSweep.PUSH_PULL
            if not again:
                return replace(self, turns=())
            return replace(self, turns=(), marks=marks_again).unmarked()
        new = [turn for turn in live.sweep.turns if turn.result.turn > self.seen]
        if not new:
            return self
        counting = [turn for turn in new if self.fresh or self._began_after(turn, now_ns)]
        return replace(self, turns=(*self.turns, *counting), seen=new[-1].result.turn)

    def unmarked(self) -> "SweepInProgress":
        """Return it as before any of its marks was touched."""
        return replace(self, touched_ns=None, to_confirm=False)

    def _began_after(self, turn: FinishedTurn, now_ns: int) -> bool:
        assert self.begun_ns is not None
        return now_ns - round((turn.end_s - turn.start_s) * 1e9) >= self.begun_ns - LATE_NS

    def taken_event(self) -> SweepTaken | None:
        """Return the event that takes it with the turns it has; None where it needs a turn and has none."""
        if self.takes is StepSweep.PUSH_PULL:
            return SweepTaken(id=self.id, step=self.step, attempt=self.attempt)
        if not self.turns:
            return None
        return SweepTaken(
            id=self.id,
            step=self.step,
            attempt=self.attempt,
            from_turn=self.turns[0].result.turn,
            to_turn=self.turns[-1].result.turn,
            from_s=min(turn.start_s for turn in self.turns),
            to_s=max(turn.end_s for turn in self.turns),
        )

    def touched(self, on: MarkSide, now_ns: int) -> "SweepInProgress":
        """Return it after a mark was touched: that of its angles begins its turns anew.

        The second of two marks has the angle between them confirmed.
        """
        asked = self.marks[:1] == (on,)
        touched = self
        if asked:
            second = self.touched_ns is not None and len(self.marks) == 1
            touched = replace(self, marks=self.marks[1:], touched_ns=now_ns, to_confirm=second)
        if on == self.zero and (asked or not self.marks):
            return replace(touched, turns=(), fresh=True)
        return touched
