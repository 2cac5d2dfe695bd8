"""One live session: polls the worker and the threads, has ``update`` say what it means, does what that asks.

The only place that knows worker, recorder and store. One thread calls it, but for ``work`` and ``post``.
Knows nothing of keys or pages.
"""

import queue
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import assert_never

from analysis.errors import BadInput, FullturnError, NotDecidable
from analysis.sweep import turn_by_itself
from logger.acquisition import (
    BoardStarted,
    EventTaken,
    GaugeRegister,
    Recorded,
    Recorder,
    StopRead,
    TurnNotes,
    TurnStore,
    Warned,
    Worker,
    WorkerEnded,
    WorkerMessage,
    keep_as,
)
from logger.inputs import SweepOrigin
from logger.live.state import effects, messages
from logger.live.state.background_analysis import BackgroundAnalysis
from logger.live.state.effects import Effect, ForWindow
from logger.live.state.growing_sweep import GrowingSweep
from logger.live.state.messages import Message, ShowText
from logger.live.state.readout import Readout
from logger.live.state.sample_ring import SampleRing
from logger.live.state.session_tap import SessionTap
from logger.live.state.state import FinishedTurn, LiveState, Role
from logger.live.state.update import update
from logger.live.state.view import Moment, View
from logger.live.state.view_builder import view_of
from logger.reports import sweep
from logger.session import FinishedTurnSamples, Session
from logger.settings import saved_setups
from logger.stream import Source

MESSAGE_S = 6.0


@dataclass(frozen=True)
class Folders:
    """Where a person's files lie."""

    config: Path
    """Saved set-ups and known boards."""
    data: Path
    """Recordings and jobs."""


def _nothing_to_remember() -> None:
    return


class LiveRuntime:
    """Everything between the worker and the pages."""

    def __init__(
        self,
        role: Role,
        source: Source,
        *,
        folders: Folders,
        recorder: Recorder | None = None,
        session: Session | None = None,
        worker: Worker | None = None,
        sample_ring: SampleRing,
        session_tap: SessionTap,
        turn_store: TurnStore | None = None,
        given: Mapping[str, str] | None = None,
        register: GaugeRegister | None = None,
        gauge_name: str = "",
        remember: Callable[[], None] = _nothing_to_remember,
        clock: Callable[[], float] = time.monotonic,
        today: Callable[[], date] = date.today,
    ) -> None:
        """``given``: the set-up it began with, over what was kept of a board that answers; None: of no board.

        ``register`` holds over what is typed of a gauge. ``gauge_name`` is that of a gauge that prints lines,
        by its port: it says no name of its own; ``remember`` has the port of a board that answers known the
        next time.
        """
        found = recorder.session if recorder else session
        running = recorder.worker if recorder else worker
        assert found is not None
        assert running is not None
        self.source, self.recorder, self.folders = source, recorder, folders
        self.session, self.worker = found, running
        self.readout = Readout()
        self.session_tap, self.clock = session_tap, clock
        self._sample_ring, self._turn_store = sample_ring, turn_store
        self._given, self._gauge_name, self._remember, self._today = given, gauge_name, remember, today
        self._register = register or GaugeRegister()
        self._background = BackgroundAnalysis(GrowingSweep(self.session, self.worker.lock, recorder))
        self._inbox: queue.SimpleQueue[Message] = queue.SimpleQueue()
        self._for_window: list[ForWindow] = []
        self._notes = TurnNotes()
        self._state = LiveState(role)
        if recorder is not None:
            identity = recorder.identity
            self._state = replace(self._state, recording=recorder.path, recording_id=identity.recording_id)
        self._began_s = clock()
        self._heard: tuple[int, float] = (0, clock())
        self.started = False
        """Whether the worker runs already."""
        self._finished = False
        self.not_stored = ""
        """After ``finish``: what the store did not take, and the command that adds it."""

    # --- running --------------------------------------------------------------------------------------

    def start(self) -> None:
        """Begin to read."""
        self.started = True
        self.worker.start()

    @property
    def state(self) -> LiveState:
        """Everything that is known now, with what gauge, encoder and board say at this moment."""
        return replace(
            self._state,
            name=self.source.name,
            now_ns=self.now_ns(),
            setup=self.session.setup,
            reading=self.readout.reading(),
            board=self.session_tap.report(self.session, self.worker.problem),
        )

    def poll(self) -> tuple[ForWindow, ...]:
        """Take what has come since the last time, and return what the window has to do; by the timer."""
        self.readout.take(self._sample_ring.take())
        self._update(messages.Ticked(self.clock()))
        while not self.worker.messages.empty():
            self._take(self.worker.messages.get())
        why = self.readout.take_jump()
        if why:
            self._update(messages.IndicatorPressed(why))
        for analysis in self._background.take():
            self._update(messages.AnalysisDone(analysis))
        while not self._inbox.empty():
            self._update(self._inbox.get())
        wanted, self._for_window = tuple(self._for_window), []
        return wanted

    def send(self, message: Message) -> None:
        """Do what a person wants. Raises BadInput where it will not do, changing nothing."""
        self._update(message)

    def post(self, message: Message) -> None:
        """Have a message taken at the next poll; from any thread."""
        self._inbox.put(message)

    def _take(self, message: WorkerMessage) -> None:
        match message:
            case BoardStarted(board):
                self._update(messages.BoardAnswered(self._gauge_name or board))
            case FinishedTurnSamples():
                self._take_turn(message)
            case EventTaken(event=event):
                note = self._notes.of(message)
                if note is not None and self._turn_store is not None:
                    self._turn_store.add_note(note)
                self._update(event)
            case Warned(words):
                self._update(ShowText(words))
            case StopRead(reading_mm, words):
                self._update(messages.PlaceRead(reading_mm, words))
            case WorkerEnded(error):
                self._update(messages.ReadingEnded(error))
                if self.recorder is not None:
                    self.recorder.take_ended(message)
            case _:
                assert_never(message)

    def _take_turn(self, ended: FinishedTurnSamples) -> None:
        try:
            result = turn_by_itself(ended.number, ended.turn, ended.capture)
        except (BadInput, NotDecidable) as error:
            self._update(ShowText(f"turn {ended.number + 1} carries no numbers: {error}"))
            return
        turn = FinishedTurn(result, ended.turn.start_s, ended.turn.end_s)
        self._update(messages.TurnEnded(turn, ended))

    def _update(self, message: Message) -> None:
        self._state, wanted = update(self.state, message)
        for effect in wanted:
            self._carry_out(effect)

    # --- what update asks for -------------------------------------------------------------------------

    def _carry_out(self, effect: Effect) -> None:
        match effect:
            case effects.Record(event):
                self.worker.record_event(event)
            case ShowText(words):
                self._update(messages.MessageShown(words, self.clock() + MESSAGE_S))
            case effects.Refuse(words):
                raise BadInput(words)
            case effects.WriteSetup(text):
                saved_setups.check_setup(text)
                self.worker.change_setup(self._register.applied(text))
            case effects.CompleteSetup(part, changes):
                kept = saved_setups.read(saved_setups.file_of(self.folders.config, "part", part))
                self._update(messages.SetupCompleted({**kept, **changes}))
            case effects.KeepSetup(board, text):
                saved_setups.save(self.folders.config, board, text)
            case effects.MeetBoard(name):
                self._meet(name)
            case effects.KeepRecording(name):
                assert self.recorder is not None
                path = keep_as(self.recorder.path, name, self.folders.data)
                self._update(messages.RecordingKept(path))
            case effects.StoreTurn(samples):
                if self._turn_store is not None:
                    self._turn_store.add(samples)
            case effects.ClearPass():
                self.readout.clear_pass()
            case effects.DrawStop(deg, reading_mm):
                self.readout.draw_stop(deg, reading_mm)
            case effects.DrawTurn(angle_rad, reading_mm):
                self.readout.draw_turn(angle_rad, reading_mm)
            case effects.SetExtremes(high, low):
                self.readout.set_extremes(high, low)
            case effects.AwaitReading():
                self.readout.await_reading()
            case effects.RingBells() | effects.PressPrimary() | effects.Announce():
                self._for_window.append(effect)
            case _:
                assert_never(effect)

    def _meet(self, board: str) -> None:
        """Use what was kept of a board and of the part, below what was given, and remember the port."""
        self._remember()
        if self._given is None:
            return
        try:
            kept = saved_setups.saved_for(self.folders.config, board, self._given.get("part", ""))
            if {**kept, **self._given} != self._given:
                self._update(messages.ChangeSetup({**kept, **self._given}))
        except FullturnError as error:
            self._update(ShowText(str(error)))

    # --- beside the painting --------------------------------------------------------------------------

    @property
    def wants_work(self) -> bool:
        """Tell whether turns wait to be analysed or kept in the store."""
        wants_keeping = self._turn_store is not None and self._turn_store.wanted
        return wants_keeping or self._background.wanted(self.state)

    def work(self) -> None:
        """Analyse and keep what waits; from the one thread beside the painting."""
        state = self.state
        if self._background.wanted(state):
            self._background.now(state)
        if self._turn_store is not None:
            self._turn_store.keep(lambda words: self.post(ShowText(words)))

    # --- out ------------------------------------------------------------------------------------------

    def now_ns(self) -> int:
        """Return the source's own clock, going on while nothing comes from a live one."""
        if self._state.role.owns_board:
            return self.source.now().monotonic_ns
        heard = self.session_tap.last_heard_ns
        if heard != self._heard[0]:
            self._heard = (heard, self.clock())
        if self._state.role is Role.REPLAY:
            return heard
        return heard + round((self.clock() - self._heard[1]) * 1e9)

    def view(self) -> View:
        """Return everything that is known now, as a page is painted from it."""
        return view_of(self.state, Moment(self.clock() - self._began_s, self._today()))

    def close(self) -> Recorded | None:
        """End it; what was read stays recorded."""
        if self.recorder is not None:
            return self.recorder.close()
        self.worker.stop()
        if self.started:
            self.worker.join()
        return None

    def finish(self) -> None:
        """End it, and keep in the store what waits and what was concluded; harmless twice."""
        if self._finished:
            return
        self._finished = True
        recorded = self.close()
        if self._turn_store is None or recorded is None:
            return
        self._turn_store.keep(lambda words: self.post(ShowText(words)))
        analysis = self._state.analysis
        result = analysis.result if analysis else None
        if result is not None:
            origin = SweepOrigin(str(recorded.path), recorded.identity.recording_id, True)
            concluded = sweep.as_json(result, origin, self.session.snapshot().link)
            state, dof = (
                (result.decision.state, result.decision.number.dof) if result.decision else (None, None)
            )
            self._turn_store.finish(recorded, True, state, concluded, dof)
        self._turn_store.close()
        self.not_stored = self._turn_store.not_stored()
