"""One sitting: a source being read, its recording, what a person asked of it, and what is known now.

Every act of a person that touches the measurement is an event: it is recorded, comes back through the
worker, and only then counts, so that a follower sees the same. Knows nothing of keys or pages.
"""

import queue
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from analysis.certificate import overdue
from analysis.decision import limit_at_track
from analysis.errors import BadInput, FullturnError, NotDecidable
from analysis.gauge import WANTED_VALUES_PER_TURN
from analysis.pooling import turn_by_itself
from analysis.results import TurnResult
from analysis.setup import Setup, parse_setup
from analysis.setup_checks import SetupCheck
from logger.items import Source
from logger.live.meter import Meter
from logger.live.naming import keep_as
from logger.live.ring import Ring
from logger.live.study import Study, study
from logger.live.tap import Tap
from logger.live.view import Replaying, View
from logger.recorder import Recorded, Recorder
from logger.session import Session
from logger.turnwatch import EndedTurn
from logger.worker import Ended, Noticed, Started, Worker

MESSAGE_S = 6.0
OWNS = ("owner", "practice")
GONE_S = 1.6
"""No byte at all for so long (a board sends a heartbeat twice a second): the board is gone."""
VIEW_ONLY = "view only: the window that owns the port can do that"
NOT_KEPT = "a replay: not kept"


@dataclass(frozen=True)
class KeptTurn:
    """A turn that has ended, with its own numbers."""

    ended: EndedTurn
    told: TurnResult


class Desk:
    """Everything between the worker and the pages. One thread calls it, but for ``study_now``."""

    def __init__(
        self,
        kind: str,
        source: Source,
        *,
        recorder: Recorder | None = None,
        session: Session | None = None,
        worker: Worker | None = None,
        ring: Ring,
        tap: Tap,
        clock: Callable[[], float] = time.monotonic,
        today: Callable[[], date] = date.today,
    ) -> None:
        self.kind, self.source, self.recorder = kind, source, recorder
        found = recorder.session if recorder else session
        running = recorder.worker if recorder else worker
        assert found is not None
        assert running is not None
        self.session, self.worker = found, running
        self._ring, self.tap = ring, tap
        self.meter = Meter()
        self._clock, self._today = clock, today
        self.began_s = clock()
        self.turns: list[KeptTurn] = []
        self.study: Study | None = None
        self.zero_mm = 0.0
        self.board = "waiting"
        """``waiting``, ``here``, ``gone`` or ``restarted``."""
        self.board_name = ""
        self.error: FullturnError | None = None
        self.ended = False
        self.broken = ""
        self.starred: set[int] = set()
        self.left_out: dict[int, Mapping[str, Any]] = {}
        self.marked = False
        self.message, self._message_until = "", 0.0
        self.named: Path | None = None
        self.rings: list[int] = []
        """Bells to be rung: how many times each."""
        self._undo: list[Callable[[], None]] = []
        self._todo: queue.SimpleQueue[Callable[[], None]] = queue.SimpleQueue()
        self._unstudied = False
        self._studied_setup: Setup | None = None
        self._heard: tuple[int, float] = (0, clock())
        self._next_id = 1
        self._crossed = False
        self.on_turn: Callable[[KeptTurn], None] = lambda kept: None
        """Called with every turn that has ended, to keep it."""
        self.on_note: Callable[[int, str, str], None] = lambda turn, kind, reason: None
        """Called with what was noted of a turn: number, kind and reason."""
        self.on_board: Callable[[str], None] = lambda name: None

    # --- running --------------------------------------------------------------------------------------

    started = False
    """Whether the worker runs already."""

    def start(self) -> None:
        """Begin to read."""
        self.started = True
        self.worker.start()

    def poll(self) -> None:
        """Take what has come since the last time; called by the timer."""
        self.meter.take(self._ring.take())
        if self.meter.new_ns is not None and self.board == "waiting":
            self.board = "here"
        self._take_words()
        self._look_for_buttons()
        while not self._todo.empty():
            self._todo.get()()
        if self.message and self._clock() > self._message_until:
            self.message = ""

    def _take_words(self) -> None:
        while not self.worker.words.empty():
            word = self.worker.words.get()
            if isinstance(word, Started):
                self.board, self.board_name = "here", word.board
                self.on_board(word.board)
            elif isinstance(word, EndedTurn):
                self._turn_ended(word)
            elif isinstance(word, Noticed):
                self._noticed(word.fields)
            elif isinstance(word, Ended):
                self.ended, self.error = True, word.error
                if self.recorder is not None:
                    self.recorder.take_ended(word)

    def _turn_ended(self, ended: EndedTurn) -> None:
        try:
            told = turn_by_itself(ended.number, ended.turn, ended.capture)
        except NotDecidable as error:
            self.say(f"turn {ended.number + 1} carries no numbers: {error}")
            return
        kept = KeptTurn(ended, told)
        self.turns.append(kept)
        del self.turns[:-400]
        self._unstudied = True
        self.on_turn(kept)
        self._ring_for(told)

    def _ring_for(self, told: TurnResult) -> None:
        limit = self.limit_mm()
        over = limit is not None and told.tir_raw_mm > limit
        crossed = over and not self._crossed
        self._crossed = over
        if crossed:
            self.rings.append(2)
        elif told.largest_gap_deg <= 12.0:
            self.rings.append(1)

    def _noticed(self, fields: Mapping[str, Any]) -> None:
        event = fields.get("event")
        if event == "gap":
            self.board = "gone"
        elif event == "reopened":
            self.board = "waiting"
            self.meter.new_ns = None
        elif event == "restart":
            self.board, self.marked = "restarted", False
            self._break("the board restarted")
        elif event == "mark":
            self.marked = True
            self.broken = ""
            if self.board == "restarted":
                self.board = "here"
            if fields.get("on") == self.session.setup.mark_on:
                self.turns.clear()
                self.study, self._crossed = None, False
        elif event == "reading-zero":
            self.zero_mm = float(fields.get("reading_mm", 0.0))
        elif event == "ends-cleared":
            self.meter.clear_ends()
        elif event == "sweep-broken":
            self._break(str(fields.get("why", "the sweep was broken")))
        elif event in ("star", "star-undone"):
            turn = int(fields.get("turn", -1))
            (self.starred.add if event == "star" else self.starred.discard)(turn)
            self.on_note(turn, str(event), "")
        elif event == "left-out":
            self.left_out[int(fields.get("id", 0))] = fields
            self._unstudied = True
            if "turn" in fields:
                self.on_note(int(fields["turn"]), "left-out", str(fields.get("reason", "")))
        elif event == "left-out-undone":
            gone = self.left_out.pop(int(fields.get("id", 0)), {})
            self._unstudied = True
            if "turn" in gone:
                self.on_note(int(gone["turn"]), "left-out-undone", "")
        elif event == "button" and self.kind in OWNS:
            self.pressed = True

    pressed = False
    """The board's button was pressed for the next step, and nobody has looked yet."""

    def _break(self, why: str) -> None:
        self.broken = why
        self.turns.clear()
        self.study, self._crossed = None, False
        self.meter.trace.clear()
        self.meter.clear_ends()

    def _look_for_buttons(self) -> None:
        why, self.meter.jump = self.meter.jump, ""
        if why and self.kind in OWNS and not self.checking:
            self._note({"event": "sweep-broken", "why": why})

    # --- analysis, beside the painting ----------------------------------------------------------------

    @property
    def wants_study(self) -> bool:
        """Tell whether turns or set-up have changed since the last analysis."""
        return bool(self.turns) and (self._unstudied or self._studied_setup is not self.session.setup)

    def study_now(self) -> None:
        """Analyse all turns so far; from any one thread at a time."""
        self._unstudied, self._studied_setup = False, self.session.setup
        with self.worker.lock:
            try:
                capture = self.session.capture()
            except BadInput as error:
                found = Study(None, str(error), None, None, None)
                self._todo.put(lambda: self._studied(found))
                return
        told = study(capture)
        self._todo.put(lambda: self._studied(told))

    def _studied(self, told: Study) -> None:
        if self.turns:
            self.study = told

    # --- what a person does ---------------------------------------------------------------------------

    def _note(self, fields: Mapping[str, object]) -> bool:
        """Have an event recorded; a follower may not, a replay keeps it to itself."""
        if self.kind == "follow":
            self.say(VIEW_ONLY)
            return False
        self.worker.note(fields)
        self._not_kept = self.kind == "replay"
        return True

    _not_kept = False

    def say(self, words: str) -> None:
        """Show what a key did, for a while."""
        note, self._not_kept = (f"{NOT_KEPT}: " if self._not_kept else ""), False
        self.message, self._message_until = note + words, self._clock() + MESSAGE_S

    def mark(self, on: str) -> None:
        """The mark of part or arbor is under the tip now."""
        count = self.tap.count
        if count is None or not self.tap.counts_per_turn:
            self.say("no counts yet: is the encoder connected?")
            return
        before = self.session.mark_counts(on)
        was = before[-1] if before else 0
        if self._note({"event": "mark", "on": on, "count": count}):
            self._undo.append(lambda: self._take_back({"event": "mark", "on": on, "count": was}, "mark"))
            self.say(f"the {on}'s mark is here: angles count from this place")

    def zero(self) -> None:
        """Let the shown reading count from here."""
        if self.meter.reading_mm is None:
            self.say("no reading yet")
            return
        was = self.zero_mm
        if self._note({"event": "reading-zero", "reading_mm": self.meter.reading_mm}):
            self._undo.append(lambda: self._take_back({"event": "reading-zero", "reading_mm": was}, "zero"))
            self.say("reading counts from here; the recording keeps the indicator's own number")

    def clear_ends(self) -> None:
        """Begin high and low so far anew."""
        high, low = self.meter.high, self.meter.low

        def back() -> None:
            self.meter.high, self.meter.low = high, low
            self.say("high and low are back")

        if self._note({"event": "ends-cleared"}):
            self._undo.append(back)
            self.say("high and low so far begin anew")

    def star(self) -> None:
        """Give the last full turn its star."""
        if not self.turns:
            self.say("no full turn yet: turn once round past the mark")
            return
        kept = self.turns[-1]
        number = kept.told.turn
        if number in self.starred:
            self.say(f"turn {number + 1} has its star already")
            return
        turn = kept.ended.turn
        fields = {"event": "star", "turn": number, "from_s": turn.start_s, "to_s": turn.end_s}
        if self._note(fields):
            self._undo.append(lambda: self._take_back({"event": "star-undone", "turn": number}, "star"))
            self.say(f"turn {number + 1} has a star")

    def leave_turn_out(self, reason: str) -> None:
        """Leave the last full turn out."""
        if not self.turns:
            self.say("no full turn yet: nothing to leave out")
            return
        kept = self.turns[-1]
        turn = kept.ended.turn
        self._leave_out(
            {"turn": kept.told.turn, "from_s": turn.start_s, "to_s": turn.end_s, "reason": reason},
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
        if self._note({"event": "left-out", "id": number, **fields}):
            undone = {"event": "left-out-undone", "id": number}
            self._undo.append(lambda: self._take_back(undone, "what was left out"))
            self.say(words)

    def undo(self) -> None:
        """Take the last Z, C, M, A, X or star back."""
        if self.kind == "follow":
            self.say(VIEW_ONLY)
        elif not self._undo:
            self.say("nothing to take back")
        else:
            self._undo.pop()()

    def _take_back(self, fields: Mapping[str, object], what: str) -> None:
        if self._note(fields):
            self.say(f"{what}: taken back")

    def change_setup(self, changes: Mapping[str, str]) -> None:
        """Change values of the set-up; an empty one is taken out. Raises BadInput, changing nothing."""
        if self.kind == "follow":
            raise BadInput(VIEW_ONLY)
        text = {**self.session.setup.text, **changes}
        text = {key: value for key, value in text.items() if value.strip()}
        checked = parse_setup(text)
        if checked.limit is not None:
            limit_at_track(checked.limit, checked)
        self.worker.set_up(text)

    checking = False
    """While the 20-second check runs, nobody's push on the tip is taken for a button."""

    def note_check(self, told: SetupCheck) -> None:
        """Have one result of the 20-second check recorded."""
        self.note_plain({"event": told.name, "state": told.state, "text": told.text})

    def note_plain(self, fields: Mapping[str, object]) -> None:
        """Have something recorded that changes nothing."""
        self._note(fields)

    def name_recording(self, name: str, folder: Path) -> None:
        """Keep the recording under a name. Raises BadInput."""
        if self.recorder is None:
            raise BadInput("nothing is being recorded here")
        self.named = keep_as(self.recorder.path, name, folder)
        self._note({"event": "named", "name": self.named.name})
        self.say(f"kept as {self.named}")

    # --- out ------------------------------------------------------------------------------------------

    def now_ns(self) -> int:
        """Return the source's own clock, going on while nothing comes from a live one."""
        if self.kind in OWNS:
            return self.source.now().monotonic_ns
        heard = self.tap.last_heard_ns
        if heard != self._heard[0]:
            self._heard = (heard, self._clock())
        if self.kind == "replay":
            return heard
        return heard + round((self._clock() - self._heard[1]) * 1e9)

    def limit_mm(self) -> float | None:
        """Return the TIR limit at the track; None where there is none, or it is of something else."""
        setup = self.session.setup
        if setup.limit is None or setup.limit.quantity not in ("tir", "tir_first"):
            return None
        try:
            return limit_at_track(setup.limit, setup)[0]
        except BadInput:
            return None

    def _trouble(self, now_ns: int) -> tuple[bool, str]:
        """Return (live, words): dashes and why, where the gauge or the board does not speak."""
        if self.ended:
            return self.kind == "replay", str(self.error or "the recording has ended")
        if self.board == "gone":
            return False, f"board gone: is {self.source.name} plugged in? it is taken up again by itself"
        if self.board == "restarted" and self.tap.count is None:
            return False, "the board restarts: wait for its first reading"
        if self.meter.new_ns is None:
            return False, self.worker.problem or "waiting for the board"
        if self.meter.silent(now_ns):
            if (now_ns - self.tap.last_heard_ns) * 1e-9 > GONE_S:
                return False, "board gone: nothing comes any more; look at its cable"
            return False, "indicator asleep or unplugged: press its button, look at its cable"
        if self.board == "restarted":
            return True, "board restarted: put the part's mark under the tip and press M"
        return True, ""

    def view(self) -> View:
        """Return everything that is known now."""
        meter, setup = self.meter, self.session.setup
        now_ns = self.now_ns()
        live, words = self._trouble(now_ns)
        angle = meter.angle_now_rad(now_ns) if live else meter.angle_rad
        last = self.turns[-1].told if self.turns else None
        period = meter.period_s
        low, high = meter.trace.drawn()
        try:
            late = overdue(setup.text.get("gauge_due", ""), self._today())
        except BadInput as error:
            late = str(error)
        lost = self.session.frames_lost()
        return View(
            kind=self.kind,
            name=self.source.name,
            setup=setup,
            reading_mm=meter.reading_mm,
            zero_mm=self.zero_mm,
            live=live,
            words=words,
            step_mm=self.tap.resolution_mm,
            angle_deg=None if angle is None else angle * 57.29577951308232,
            rpm=abs(meter.speed_rad_s) * 9.549296585513721,
            way=meter.trace.way,
            counts_per_turn=self.tap.counts_per_turn,
            max_rpm=None if not period else 60.0 / period / WANTED_VALUES_PER_TURN,
            turns=len(self.turns),
            last=last,
            starred=last is not None and last.turn in self.starred,
            high=meter.high,
            low=meter.low,
            trace_low=low,
            trace_high=high,
            missing=meter.trace.missing(),
            study=self.study,
            limit_mm=self.limit_mm(),
            limit_words=setup.limit.length.as_written if setup.limit else "",
            recording=str(self.recorder.path) if self.recorder else "",
            recorded_s=self._clock() - self.began_s,
            named=self.named is not None,
            message=self.message,
            locked=False,
            bells=True,
            broken=self.broken,
            overdue=late,
            marked=self.marked,
            link=f"{lost} frames lost on the link" if lost else "",
        )

    def replaying(self) -> Replaying | None:
        """Where a replay stands; None for anything else."""
        return None

    def close(self) -> Recorded | None:
        """End it; what was read stays recorded."""
        if self.recorder is not None:
            return self.recorder.close()
        self.worker.stop()
        self.worker.join()
        return None


def with_look(view: View, **changes: Any) -> View:
    """Return the view with what only the person's own window knows."""
    return replace(view, **changes)
