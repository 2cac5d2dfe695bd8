"""What a person does to a sweep, each act an event, and each to be taken back: zero, mark, star, leave out.

Nothing counts before its event has come back through the worker, so that a follower sees the same.
"""

import math
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.capture.events import (
    Event,
    ExclusionUndone,
    Extreme,
    ExtremesCleared,
    ExtremesRestored,
    MarkTouched,
    MarkUndone,
    ReadingZeroed,
    RecordingNamed,
    StarUndone,
    StopPressed,
    TurnExcluded,
    TurnStarred,
    WindowExcluded,
)
from analysis.errors import BadInput
from analysis.setup import MarkSide
from logger.acquisition import keep_as

if TYPE_CHECKING:
    from logger.live.state.runtime import LiveRuntime

VIEW_ONLY = "view only: the window that owns the port can do that"

NO_MARK = {
    "index": "the index pulse is the mark here: turn past it",
    "stops": "no mark with stops: the first place is angle 0",
    "steady": "no mark with a steady spin: angles count from its start",
}
"""Why a mark cannot be touched where the angle is no count."""


class Actions:
    """The acts of one person at one desk."""

    def __init__(self, runtime: "LiveRuntime") -> None:
        self._runtime = runtime
        self._undo: list[Callable[[], None]] = []
        self._next_id = 1

    def mark(self, on: MarkSide) -> None:
        """The mark of part or arbor is under the tip now."""
        count = self._runtime.session_tap.count
        if count is None or not self._runtime.session_tap.counts_per_turn:
            source = self._runtime.session.angle_source
            self._runtime.say(NO_MARK.get(source, "no counts yet: is the encoder connected?"))
            return
        before = self._runtime.session.mark_counts(on)
        if self._runtime.record(MarkTouched(on, count)):
            # The only mark is taken away, not set to where the count happens to be 0.
            undone = MarkTouched(on, before[-1]) if before else MarkUndone(on)
            self._undo.append(lambda: self._take_back(undone, "mark"))
            self._runtime.say(f"the {on}'s mark is here: angles count from this place")

    def stop(self) -> None:
        """Take the reading of the place the part stands at (angles by stops)."""
        self._runtime.record(StopPressed())

    def zero(self) -> None:
        """Let the shown reading count from here."""
        if self._runtime.readout.reading_mm is None:
            self._runtime.say("no reading yet")
            return
        was = self._runtime.zero_mm
        if self._runtime.record(ReadingZeroed(self._runtime.readout.reading_mm)):
            self._undo.append(lambda: self._take_back(ReadingZeroed(was), "zero"))
            self._runtime.say("reading counts from here; the recording keeps the indicator's own number")

    def clear_ends(self) -> None:
        """Begin high and low so far anew."""
        readout = self._runtime.readout
        before = ExtremesRestored(_extreme(readout.high), _extreme(readout.low))
        if self._runtime.record(ExtremesCleared()):
            self._undo.append(lambda: self._take_back(before, "high and low"))
            self._runtime.say("high and low so far begin anew")

    def star(self) -> None:
        """Give the last full turn its star."""
        if not self._runtime.turns:
            self._runtime.say("no full turn yet: turn once round past the mark")
            return
        kept = self._runtime.turns[-1]
        number = kept.result.turn
        if number in self._runtime.starred:
            self._runtime.say(f"turn {number + 1} has its star already")
            return
        if self._runtime.record(TurnStarred(number, kept.start_s, kept.end_s)):
            self._undo.append(lambda: self._take_back(StarUndone(number), "star"))
            self._runtime.say(f"turn {number + 1} has a star")

    def leave_turn_out(self, reason: str) -> None:
        """Leave the last full turn out."""
        if not self._runtime.turns:
            self._runtime.say("no full turn yet: nothing to leave out")
            return
        kept = self._runtime.turns[-1]
        turn, from_s, to_s = kept.result.turn, kept.start_s, kept.end_s
        self._leave_out(
            TurnExcluded(id=self._next_id, turn=turn, from_s=from_s, to_s=to_s, reason=reason),
            f"turn {kept.result.turn + 1} is left out: {reason}",
        )

    def leave_window_out(self, from_deg: float, to_deg: float, reason: str) -> None:
        """Leave a window of the turn out."""
        self._leave_out(
            WindowExcluded(id=self._next_id, from_deg=from_deg, to_deg=to_deg, reason=reason),
            f"{from_deg:g} to {to_deg:g} deg are left out: {reason}",
        )

    def _leave_out(self, event: TurnExcluded | WindowExcluded, words: str) -> None:
        undone = ExclusionUndone(self._next_id)
        self._next_id += 1
        if self._runtime.record(event):
            self._undo.append(lambda: self._take_back(undone, "what was left out"))
            self._runtime.say(words)

    def undo(self) -> None:
        """Take the last Z, C, M, A, X or star back."""
        if self._runtime.kind == "follow":
            self._runtime.say(VIEW_ONLY)
        elif not self._undo:
            self._runtime.say("nothing to take back")
        else:
            self._undo.pop()()

    def _take_back(self, event: Event, what: str) -> None:
        if self._runtime.record(event):
            self._runtime.say(f"{what}: taken back")

    def name_recording(self, name: str, folder: Path) -> None:
        """Keep the recording under a name. Raises BadInput."""
        if self._runtime.recorder is None:
            raise BadInput("nothing is being recorded here")
        self._runtime.named = keep_as(self._runtime.recorder.path, name, folder)
        self._runtime.record(RecordingNamed(self._runtime.named.name))
        self._runtime.say(f"kept as {self._runtime.named}")


def _extreme(end: tuple[float, float] | None) -> Extreme | None:
    """Return a highest or lowest reading as an event has it: mm, and degrees where known."""
    return None if end is None else (end[0], end[1] if math.isfinite(end[1]) else None)
