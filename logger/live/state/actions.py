"""What a person does to a sweep, each act an event, and each to be taken back: zero, mark, star, leave out.

Nothing counts before its event has come back through the worker, so that a follower sees the same.
"""

import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.errors import BadInput
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

    def __init__(self, desk: "LiveRuntime") -> None:
        self._desk = desk
        self._undo: list[Callable[[], None]] = []
        self._next_id = 1

    def mark(self, on: str) -> None:
        """The mark of part or arbor is under the tip now."""
        count = self._desk.tap.count
        if count is None or not self._desk.tap.counts_per_turn:
            source = self._desk.session.angle_source
            self._desk.say(NO_MARK.get(source, "no counts yet: is the encoder connected?"))
            return
        before = self._desk.session.mark_counts(on)
        back: dict[str, object] = {"event": "mark", "on": on, "count": before[-1]} if before else {}
        if self._desk.record({"event": "mark", "on": on, "count": count}):
            # The only mark is taken away, not set to where the count happens to be 0.
            undone = back or {"event": "mark-undone", "on": on}
            self._undo.append(lambda: self._take_back(undone, "mark"))
            self._desk.say(f"the {on}'s mark is here: angles count from this place")

    def stop(self) -> None:
        """Take the reading of the place the part stands at (angles by stops)."""
        self._desk.record({"event": "stop"})

    def zero(self) -> None:
        """Let the shown reading count from here."""
        if self._desk.meter.reading_mm is None:
            self._desk.say("no reading yet")
            return
        was = self._desk.zero_mm
        if self._desk.record({"event": "reading-zero", "reading_mm": self._desk.meter.reading_mm}):
            self._undo.append(lambda: self._take_back({"event": "reading-zero", "reading_mm": was}, "zero"))
            self._desk.say("reading counts from here; the recording keeps the indicator's own number")

    def clear_ends(self) -> None:
        """Begin high and low so far anew."""
        meter = self._desk.meter
        before = {"event": "ends-restored", "high": _plain(meter.high), "low": _plain(meter.low)}
        if self._desk.record({"event": "ends-cleared"}):
            self._undo.append(lambda: self._take_back(before, "high and low"))
            self._desk.say("high and low so far begin anew")

    def star(self) -> None:
        """Give the last full turn its star."""
        if not self._desk.turns:
            self._desk.say("no full turn yet: turn once round past the mark")
            return
        kept = self._desk.turns[-1]
        number = kept.told.turn
        if number in self._desk.starred:
            self._desk.say(f"turn {number + 1} has its star already")
            return
        fields = {"event": "star", "turn": number, "from_s": kept.start_s, "to_s": kept.end_s}
        if self._desk.record(fields):
            self._undo.append(lambda: self._take_back({"event": "star-undone", "turn": number}, "star"))
            self._desk.say(f"turn {number + 1} has a star")

    def leave_turn_out(self, reason: str) -> None:
        """Leave the last full turn out."""
        if not self._desk.turns:
            self._desk.say("no full turn yet: nothing to leave out")
            return
        kept = self._desk.turns[-1]
        self._leave_out(
            {"turn": kept.told.turn, "from_s": kept.start_s, "to_s": kept.end_s, "reason": reason},
            f"turn {kept.told.turn + 1} is left out: {reason}",
        )

    def leave_window_out(self, from_deg: float, to_deg: float, reason: str) -> None:
        """Leave a window of the turn out."""
        self._leave_out(
            {"from_deg": from_deg, "to_deg": to_deg, "reason": reason},
            f"{from_deg:g} to {to_deg:g} deg are left out: {reason}",
        )

    def _leave_out(self, fields: Mapping[str, object], words: str) -> None:
        number = self._next_id
        self._next_id += 1
        if self._desk.record({"event": "left-out", "id": number, **fields}):
            undone = {"event": "left-out-undone", "id": number}
            self._undo.append(lambda: self._take_back(undone, "what was left out"))
            self._desk.say(words)

    def undo(self) -> None:
        """Take the last Z, C, M, A, X or star back."""
        if self._desk.kind == "follow":
            self._desk.say(VIEW_ONLY)
        elif not self._undo:
            self._desk.say("nothing to take back")
        else:
            self._undo.pop()()

    def _take_back(self, fields: Mapping[str, object], what: str) -> None:
        if self._desk.record(fields):
            self._desk.say(f"{what}: taken back")

    def name_recording(self, name: str, folder: Path) -> None:
        """Keep the recording under a name. Raises BadInput."""
        if self._desk.recorder is None:
            raise BadInput("nothing is being recorded here")
        self._desk.named = keep_as(self._desk.recorder.path, name, folder)
        self._desk.record({"event": "named", "name": self._desk.named.name})
        self._desk.say(f"kept as {self._desk.named}")


def _plain(end: tuple[float, float] | None) -> list[float | None] | None:
    """Return a highest or lowest reading as it is written into an event: mm, and degrees where known."""
    return None if end is None else [end[0], end[1] if math.isfinite(end[1]) else None]
