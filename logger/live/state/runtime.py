"""One sitting: a source being read, its recording, what a person asked of it, and what is known now.

Every act of a person that touches the measurement is an event: it is recorded, comes back through the
worker, and only then counts, so that a follower sees the same. Knows nothing of keys or pages.
"""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from analysis.capture.events import CheckDone, Event, SweepBroken, TurnExcluded, WindowExcluded
from analysis.errors import BadInput, FullturnError, NotDecidable
from analysis.results import Check, TurnResult
from analysis.sweep import turn_by_itself
from logger.acquisition import BoardStarted, EventTaken, Recorded, Recorder, StopRead, Worker, WorkerEnded
from logger.live.state.actions import VIEW_ONLY, Actions
from logger.live.state.background_analysis import BackgroundAnalysis
from logger.live.state.readout import Readout
from logger.live.state.sample_ring import SampleRing
from logger.live.state.session_tap import SessionTap
from logger.live.state.stop_places import StopPlaces, places_of
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.update import OWNS, notice
from logger.live.state.view import View
from logger.live.state.view_builder import limit_mm_of, view_of
from logger.session import FinishedTurnSamples, Session
from logger.settings import saved_setups as setups
from logger.stream import Source

MESSAGE_S = 6.0
NOT_KEPT = "a replay: not kept"


@dataclass(frozen=True)
class FinishedTurn:
    """A turn that has ended, with its own numbers; its samples are in the session alone."""

    result: TurnResult
    start_s: float
    end_s: float


class LiveRuntime:
    """Everything between the worker and the pages. One thread calls it, but for ``studying``."""

    def __init__(
        self,
        kind: str,
        source: Source,
        *,
        recorder: Recorder | None = None,
        session: Session | None = None,
        worker: Worker | None = None,
        sample_ring: SampleRing,
        session_tap: SessionTap,
        clock: Callable[[], float] = time.monotonic,
        today: Callable[[], date] = date.today,
    ) -> None:
        self.kind, self.source, self.recorder = kind, source, recorder
        found = recorder.session if recorder else session
        running = recorder.worker if recorder else worker
        assert found is not None
        assert running is not None
        self.session, self.worker = found, running
        self._sample_ring, self.session_tap = sample_ring, session_tap
        self.readout = Readout()
        self.places = StopPlaces()
        """Where angles come from stops: what was read standing."""
        self.clock, self.today = clock, today
        self.began_s = clock()
        self.turns: list[FinishedTurn] = []
        self.analysis: SweepSoFar | None = None
        self.zero_mm = 0.0
        self.board = "waiting"
        """``waiting``, ``here``, ``gone`` or ``restarted``."""
        self.board_name = ""
        self.lines_on = ""
        """Name of a gauge that prints lines, by its port: it says no name of its own."""
        self.error: FullturnError | None = None
        self.ended = False
        self.broken = ""
        self.starred: set[int] = set()
        self.left_out: dict[int, TurnExcluded | WindowExcluded] = {}
        self.marked = False
        self.message, self._message_until = "", 0.0
        self.named: Path | None = None
        self.bells_due: list[int] = []
        """Bells to be rung: how many times each."""
        self.background = BackgroundAnalysis(self)
        """The analysis of all turns so far, beside the painting."""
        self._heard: tuple[int, float] = (0, clock())
        self.acts = Actions(self)
        self.crossed = False
        self.on_turn: Callable[[FinishedTurnSamples, TurnResult], None] = lambda ended, result: None
        """Called with every turn that has ended, to keep it."""
        self.on_note: Callable[[int, str, str], None] = lambda turn, kind, reason: None
        """Called with what was noted of a turn: number, kind and reason."""
        self.on_board: Callable[[str], None] = lambda name: None
        self.on_event: Callable[[Event], None] = lambda event: None
        """Called with every event that has come back, after it counts."""

    # --- running --------------------------------------------------------------------------------------

    started = False
    """Whether the worker runs already."""

    def start(self) -> None:
        """Begin to read."""
        self.started = True
        self.worker.start()

    def poll(self) -> None:
        """Take what has come since the last time; called by the timer."""
        self.readout.take(self._sample_ring.take())
        if self.readout.new_ns is not None and self.board == "waiting":
            self.board = "here"
        self._take_words()
        self._look_for_buttons()
        self.background.take()
        if self.message and self.clock() > self._message_until:
            self.message = ""

    def _take_words(self) -> None:
        while not self.worker.messages.empty():
            word = self.worker.messages.get()
            if isinstance(word, BoardStarted):
                self.board, self.board_name = "here", self.lines_on or word.board
                self.on_board(self.board_name)
            elif isinstance(word, FinishedTurnSamples):
                self._turn_ended(word)
            elif isinstance(word, EventTaken):
                notice(self, word.event)
                self.on_event(word.event)
            elif isinstance(word, StopRead):
                self._stop_taken(word)
            elif isinstance(word, WorkerEnded):
                self.ended, self.error = True, word.error
                if self.recorder is not None:
                    self.recorder.take_ended(word)

    def _stop_taken(self, stop: StopRead) -> None:
        setup, readout = self.session.setup, self.readout
        if stop.reading_mm is not None:
            if len(self.places.readings_mm) in (0, places_of(setup) + 1):
                readout.pass_trace.clear()
            self.places.take(setup, stop.reading_mm, readout.pass_trace.put)
            self.background.stale |= len(self.places.readings_mm) == places_of(setup) + 1
        self.say(stop.words)

    def _turn_ended(self, ended: FinishedTurnSamples) -> None:
        try:
            result = turn_by_itself(ended.number, ended.turn, ended.capture)
        except (BadInput, NotDecidable) as error:
            self.say(f"turn {ended.number + 1} carries no numbers: {error}")
            return
        kept = FinishedTurn(result, ended.turn.start_s, ended.turn.end_s)
        self.turns.append(kept)
        del self.turns[:-400]
        self.background.stale = True
        if self.session.angle_source == "index":
            turn, samples = ended.turn, ended.capture.samples
            self.readout.redraw(samples.angle_rad[turn.where], samples.reading_mm[turn.where])
        self.on_turn(ended, result)
        self._ring_for(result)

    def _ring_for(self, result: TurnResult) -> None:
        limit = limit_mm_of(self.session.setup)
        over = limit is not None and result.tir_raw_mm > limit
        crossed = over and not self.crossed
        self.crossed = over
        if crossed:
            self.bells_due.append(2)
        elif result.largest_gap_deg <= 12.0:
            self.bells_due.append(1)

    pressed = False
    """The board's button was pressed for the next step, and nobody has looked yet."""

    def break_sweep(self, why: str) -> None:
        """Let the turns so far count no more, and say why."""
        self.broken = why
        self.turns.clear()
        self.analysis, self.crossed = None, False
        self.readout.pass_trace.clear()
        self.readout.clear_ends()

    def _look_for_buttons(self) -> None:
        why, self.readout.jump = self.readout.jump, ""
        if why and self.kind in OWNS and not self.checking:
            self.record(SweepBroken(why))

    # --- what a person does ---------------------------------------------------------------------------

    def record(self, event: Event) -> bool:
        """Have an event recorded; a follower may not, a replay keeps it to itself."""
        if self.kind == "follow":
            self.say(VIEW_ONLY)
            return False
        self.worker.record_event(event)
        self._not_kept = self.kind == "replay"
        return True

    _not_kept = False

    def say(self, words: str) -> None:
        """Show what a key did, for a while."""
        note, self._not_kept = (f"{NOT_KEPT}: " if self._not_kept else ""), False
        self.message, self._message_until = note + words, self.clock() + MESSAGE_S

    def change_setup(self, changes: Mapping[str, str]) -> None:
        """Change values of the set-up; an empty one is taken out. Raises BadInput, changing nothing."""
        if self.kind == "follow":
            raise BadInput(VIEW_ONLY)
        text = {**self.session.setup.text, **changes}
        text = {key: value for key, value in text.items() if value.strip()}
        setups.check(text, self.today())
        self.worker.change_setup(text)

    checking = False
    """While the 20-second check runs, nobody's push on the tip is taken for a button."""

    def note_check(self, result: Check) -> None:
        """Have one result of the 20-second check recorded."""
        self.note_plain(CheckDone(result.name, result.state, result.text))

    def note_plain(self, event: Event) -> None:
        """Have something recorded that changes nothing."""
        self.record(event)

    # --- out ------------------------------------------------------------------------------------------

    @property
    def recorded_s(self) -> float:
        """For how long it has been going on."""
        return self.clock() - self.began_s

    def now_ns(self) -> int:
        """Return the source's own clock, going on while nothing comes from a live one."""
        if self.kind in OWNS:
            return self.source.now().monotonic_ns
        heard = self.session_tap.last_heard_ns
        if heard != self._heard[0]:
            self._heard = (heard, self.clock())
        if self.kind == "replay":
            return heard
        return heard + round((self.clock() - self._heard[1]) * 1e9)

    def view(self) -> View:
        """Return everything that is known now."""
        return view_of(self)

    def close(self) -> Recorded | None:
        """End it; what was read stays recorded."""
        if self.recorder is not None:
            return self.recorder.close()
        self.worker.stop()
        if self.started:
            self.worker.join()
        return None
