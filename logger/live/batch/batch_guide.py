"""The guide through a batch at a live session: a part named, begun, turned as planned, told, the next.

Knows the live session and ``logger.batch``; knows no key and no page.
"""

from collections.abc import Callable
from dataclasses import replace
from enum import StrEnum

from analysis.capture import AngleSource
from analysis.capture.events import MarkTouched
from analysis.errors import BadInput, FullturnError
from logger.batch import (
    Again,
    Batch,
    BatchPlan,
    MeasuredPart,
    Named,
    NextSweep,
    Skip,
    in_one_line,
    measured_part,
    parse_line,
    with_job_held,
)
from logger.inputs import SweepOrigin
from logger.live.batch.batch_store import BatchStore
from logger.live.batch.part_sessions import PartSessions
from logger.live.state.intent_rules import VIEW_ONLY, why_not_standing
from logger.live.state.messages import Intent, ShowText, TakeTurn
from logger.live.state.runtime import LiveRuntime
from logger.live.state.state import LiveState, Role
from logger.reports import sweep


class BatchPhase(StrEnum):
    """What is asked for."""

    NONE = "none"
    """There is no batch: ``problem`` says why."""
    LOOKING = "looking"
    """It is looked up what was measured in the job."""
    NAMING = "naming"
    """A serial is wanted."""
    NAMED = "named"
    """The named part can be begun."""
    TURNING = "turning"
    """The named part is being measured."""
    OVER = "over"
    """Every planned part is measured or skipped."""


class BatchGuide:
    """The guide through one batch."""

    def __init__(
        self,
        runtime: Callable[[], LiveRuntime],
        send: Callable[[Intent], None],
        unit: Callable[[], str],
        goes_on_with: Callable[[LiveRuntime], None],
        *,
        where: str | None = None,
        planned: tuple[str, ...] = (),
        plan: BatchPlan | None = None,
        sessions: PartSessions | None = None,
    ) -> None:
        """``goes_on_with`` has another session shown from then on.

        ``where``: the store that tells quickly what was measured; ``planned``: serials in their order;
        ``plan``: what is asked between them.
        """
        self._runtime, self._send, self._unit, self._goes_on_with = runtime, send, unit, goes_on_with
        self._store, self.sessions = BatchStore(where, planned, plan), sessions
        self.batch: Batch | None = None
        """Where it stands; None before its job was looked up."""
        self.problem = ""
        """Why there is no batch."""
        self.words = ""
        """What the last line did."""
        self.last: MeasuredPart | None = None
        """The part that was told last."""
        self._turning = ""
        self._mark: tuple[int, int] | None = None
        """Count at which the mark stood at SPACE, and the boot of the board: to be recorded."""
        self._of_parts: dict[str, str] = {}
        """What the set-up says of the parts where it speaks of the check standard now."""
        self._closing: LiveRuntime | None = None
        """A bench's session that was told and has not read its last yet."""

    # --- where it stands ------------------------------------------------------------------------------

    @property
    def _state(self) -> LiveState:
        return self._runtime().state

    @property
    def phase(self) -> BatchPhase:
        """What is asked for."""
        if self.batch is None:
            return BatchPhase.LOOKING if self._store.is_looking else BatchPhase.NONE
        if self._turning:
            return BatchPhase.TURNING
        if self.batch.over:
            return BatchPhase.OVER
        return BatchPhase.NAMED if self.batch.serial and not self.batch.asked else BatchPhase.NAMING

    @property
    def under_way(self) -> bool:
        """Tell whether ending now would leave a part in the middle, or parts of the list."""
        return self.phase is BatchPhase.TURNING or bool(self.batch and self.batch.sweeps and self.batch.left)

    @property
    def what_runs(self) -> str:
        """What ending now would leave in the middle."""
        assert self.batch is not None
        if self._turning:
            return f"{self._turning} is being measured"
        left = len(self.batch.left)
        return f"{left} part{' is' if left == 1 else 's are'} left"

    @property
    def turns(self) -> tuple[int, int]:
        """How many turns have come of how many are planned."""
        state = self._state
        result = state.analysis.result if state.analysis else None
        whole = len(result.turns) if result is not None and state.is_whole_only else 0
        return max(len(state.sweep.turns), whole), state.setup.turns_planned or 1

    def open(self) -> None:
        """Look which job the set-up names, and what was measured in it."""
        state = self._state
        if not state.role.owns_board or self.sessions is None:
            self.problem = (
                VIEW_ONLY if state.role is Role.FOLLOW else "a recording: there is no board to measure at"
            )
            return
        job = state.setup.text.get("job", "").strip()
        if not job:
            self.problem = "no job is named: enter the job number in Set-up (2), and come back with 7"
            return
        if self._turning or (self.batch is not None and self.batch.job == job):
            return
        self.batch, self.problem = None, ""
        self._store.look_up(job, self._runtime().folders.data)

    # --- what a person does ---------------------------------------------------------------------------

    def typed(self, line: str) -> None:
        """Take a line that was typed or scanned: it names a part, and begins nothing."""
        if self.batch is None:
            self.words = self.problem or "wait: it is looked up what was measured"
            return
        try:
            if self._turning:
                self._typed_meanwhile(line)
            else:
                self.batch, self.words = replace(self.batch, unit=self._unit()).typed(line)
            self._note_skipped(line)
        except BadInput as error:
            self.words = str(error)

    def _note_skipped(self, line: str) -> None:
        assert self.batch is not None
        if isinstance(parse_line(line), Skip):
            operator = self._state.setup.text.get("operator", "")
            self._store.keep(self.batch.job, self.batch.skipped[-1], operator)

    def _typed_meanwhile(self, line: str) -> None:
        """Take a line while a part is measured: it may end that, and names no other."""
        assert self.batch is not None
        match parse_line(line):
            case Named(serial):
                self.words = f"{serial} is not used: scan it when {self._turning} has been told"
            case Again():
                self._break_off(f"{self._turning} is broken off. {self.batch.wants}")
            case Skip():
                self.batch, words = self.batch.typed(line)
                self._note_skipped(line)
                self._break_off(f"{words}. {self.batch.wants}")

    def _break_off(self, words: str) -> None:
        """Leave a sweep in the middle: its recording is kept, and counts for nothing."""
        self._turning, self._mark, self.words = "", None, words
        self._between()

    def primary(self) -> None:
        """Begin the named part; take a stop where its angles come from stops."""
        match self.phase:
            case BatchPhase.NAMED:
                self._begin()
            case BatchPhase.TURNING:
                if self._state.board.angle_source is AngleSource.STOPS:
                    self._send(TakeTurn())
                else:
                    self._send(ShowText(f"{self._turning} is being measured: turn on, or type again, Enter"))
            case _:
                self._send(ShowText(self.label))

    @property
    def label(self) -> str:
        """What SPACE does next."""
        match self.phase:
            case BatchPhase.NAMED:
                assert self.batch is not None
                return f"begin {self.batch.serial}: its mark under the tip"
            case BatchPhase.TURNING:
                done, planned = self.turns
                return (
                    f"nothing yet: turn {done + 1} of {planned}"
                    if done < planned
                    else "wait: it is worked out"
                )
            case BatchPhase.NAMING:
                return (
                    "nothing: answer first"
                    if self.batch and self.batch.asked
                    else "nothing: name a part first"
                )
            case BatchPhase.OVER:
                return "nothing: every part is measured or skipped"
            case BatchPhase.LOOKING:
                return "wait: it is looked up what was measured"
            case _:
                return "nothing: there is no batch"

    def _begin(self) -> None:
        assert self.batch is not None
        assert self.sessions is not None
        old, state = self._runtime(), self._state
        at_port = state.role is Role.OWNER
        moves = why_not_standing(state) if at_port else ""
        if moves:
            self._send(ShowText(f"{moves}: mark under the tip, then SPACE"))
            return
        try:
            setup = {**self._of_parts, **self.batch.setup_of_named}
            if self.batch.wanted is not NextSweep.CHECK:
                with_job_held(self.batch, setup.get("part", state.setup.part))
            new = self.sessions.part(old, setup, len(self.batch.sweeps))
        except FullturnError as error:
            self._send(ShowText(str(error)))
            return
        hello, counts = old.session.hello, state.board.counts_per_turn
        marked = at_port and counts and state.board.count is not None and state.setup.mark == "event"
        self._mark = (state.board.count or 0, hello.boot_id if hello else 0) if marked else None
        self._turning, self.words = self.batch.serial, ""
        if self.batch.wanted is not NextSweep.CHECK:
            self._of_parts = {}
        elif not self._of_parts:
            text = old.session.setup.text
            self._of_parts = {key: text.get(key, "") for key in self.batch.setup_of_named if key != "serial"}
        self._goes_on_with(new)

    # --- what happens ---------------------------------------------------------------------------------

    def tick(self) -> None:
        """Look at what has come, before painting."""
        found = self._store.found()
        if found is not None:
            self.batch = replace(found, unit=self._unit()).begun()
        if self._store.words:
            self.words, self._store.words = self._store.words, ""
        if self._closing is not None and self.sessions is not None and self._closing.state.ended:
            self.sessions.ended.add(self._closing)
            self._closing = None
        if self._turning:
            self._touch_mark()
            if self._is_told():
                self._take()

    def _touch_mark(self) -> None:
        """Have the mark recorded that stood under the tip at SPACE, as soon as the board counts again."""
        runtime, state = self._runtime(), self._state
        if self._mark is None or state.board.count is None or not state.role.owns_board:
            return
        (count, boot), self._mark = self._mark, None
        hello = runtime.session.hello
        if hello is not None and hello.boot_id != boot:
            self._break_off(f"the board restarted: {self._turning} again, its mark under the tip")
            return
        runtime.worker.record_event(MarkTouched(state.setup.mark_on, count))

    def _is_told(self) -> bool:
        state = self._state
        done, planned = self.turns
        analysis = state.analysis
        if analysis is None or analysis.result is None or state.sweep.broken or done < planned:
            return False
        # Who turns on is ahead of every result of a busy computer: the planned turns are enough.
        newest = analysis.revision == state.revision
        return newest or (not state.is_whole_only and len(analysis.result.turns) >= planned)

    def _take(self) -> None:
        """Tell the part, and go on to the next."""
        runtime, state = self._runtime(), self._state
        assert self.batch is not None
        assert state.analysis is not None
        assert state.analysis.result is not None
        origin = SweepOrigin(str(state.recording), state.recording_id, True)
        found = sweep.as_json(state.analysis.result, origin, runtime.session.snapshot().link)
        self.last = one = measured_part(found)
        self.batch = replace(self.batch, unit=self._unit()).with_sweep(one)
        self._turning = ""
        if self.words:  # what was typed meanwhile is told until the next line
            self.words = f"{self.batch.wants}. {self.words}"
        self._between()

    def _between(self) -> None:
        assert self.sessions is not None
        old = self._runtime()
        try:
            new = self.sessions.between(old)
        except FullturnError as error:
            self.problem = self.words = str(error)
            return
        if new is old:
            self._closing = old
        else:
            self._goes_on_with(new)

    @property
    def last_words(self) -> str:
        """What the part told last was told; empty before the first."""
        return in_one_line(self.last, self.batch) if self.last is not None and self.batch is not None else ""

    # --- beside the painting --------------------------------------------------------------------------

    @property
    def wants_work(self) -> bool:
        """Tell whether a job is to be looked up, or a session to be closed."""
        return self._store.wants_work or (self.sessions is not None and self.sessions.ended.wait)

    def work(self) -> None:
        """Do it; from the one thread beside the painting."""
        self._store.work()
        if self.sessions is not None:
            self.sessions.ended.close()

    def close(self) -> None:
        """Close what is over and let go of what stayed open, the window being closed."""
        self._store.work()
        if self.sessions is not None:
            self.sessions.ended.close()
            self.sessions.let_go()
