"""The guided job of one window: has ``update_guide`` say where it stands, does what that asks.

Everything that touches the measurement goes through the live session as an intent. Knows nothing of keys and
pages.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import assert_never
from uuid import uuid4

from analysis.capture.events import SweepTaken
from analysis.errors import BadInput, FullturnError
from analysis.results import CheckState
from analysis.setup import LIMIT_KEYS
from logger.job import REFUSING, Finding, Job, JobReader, JobSweep, StepSweep, job_file
from logger.live.job.guide_messages import (
    BenchMoved,
    FindingMade,
    GuideEffect,
    GuideMessage,
    JobOpened,
    JobPutAside,
    JobWritten,
    KeepJob,
    KeepSweep,
    MoveBench,
    PutAside,
    Send,
    SweepKept,
    Ticked,
)
from logger.live.job.guide_state import GuidePhase, GuideState, Surroundings, mounts_again, phase_of
from logger.live.job.guide_update import update_guide
from logger.live.job.practice_story import PracticeStory
from logger.live.job.sweep_in_progress import SweepInProgress
from logger.live.state.messages import Intent, ShowText
from logger.live.state.state import LiveState


def _now() -> datetime:
    return datetime.now(UTC)


class JobGuide:
    """The guide through one job."""

    def __init__(
        self,
        live: Callable[[], LiveState],
        send: Callable[[Intent], None],
        data_folder: Path,
        *,
        now_ns: Callable[[], int],
        unit: Callable[[], str],
        floats_seen: Callable[[int], int] = lambda since_ns: 0,
        story: PracticeStory | None = None,
        move: Callable[[MoveBench], None] = lambda effect: None,
        now: Callable[[], datetime] = _now,
    ) -> None:
        """``live`` and ``now_ns`` tell of the live session of the moment, ``send`` asks it for something.

        ``floats_seen`` tells how often a shaft went from one hold to the next since a moment of ``now_ns``;
        ``move`` sets the practice bench up for a sweep of ``story``; ``now`` dates what is kept.
        """
        self._live, self._send, self._data = live, send, data_folder
        self._now_ns, self._unit, self.story, self._move, self._now = now_ns, unit, story, move, now
        self._floats_since = floats_seen
        self.state = GuideState()
        self.reader = JobReader()
        """What the sweeps say, made beside the painting."""
        self.folder: Path | None = None
        """Where the job lies; None while there is none."""
        self._opened = False

    # --- opening --------------------------------------------------------------------------------------

    def open(self) -> None:
        """Look which job the set-up names, and stand where it was left."""
        self._opened = True
        setup = self._live().setup
        part, number = setup.part.strip(), setup.text.get("job", "").strip()
        if not part:
            self.state, self.folder = replace(self.state, job=None), None
            return
        if self.job is not None and (self.job.part, self.job.number) == (part, number):
            return
        self.reader = JobReader()
        self.folder = job_file.folder_of(self._data, part, number)
        try:
            self.send(JobOpened(job_file.read(self.folder) or Job(part, number)))
        except BadInput as error:
            self.send(JobOpened(None, str(error)))

    def jobs(self) -> list[Job]:
        """Return the jobs that can be gone on with, the newest first."""
        return job_file.jobs(self._data)

    # --- where it stands ------------------------------------------------------------------------------

    @property
    def job(self) -> Job | None:
        """The job; None while no part is named, or it cannot be read."""
        return self.state.job

    @property
    def problem(self) -> str:
        """Why there is no job, or why it is not kept."""
        return self.state.problem

    @property
    def sweep(self) -> SweepInProgress | None:
        """The sweep that is being taken."""
        return self.state.sweep

    @property
    def phase(self) -> GuidePhase:
        """What the bottom line asks for."""
        return phase_of(self.state, self.finding)

    @property
    def may_act(self) -> bool:
        """Tell whether this window may take sweeps."""
        return self._live().role.owns_board

    @property
    def finding(self) -> Finding | None:
        """What the step where the job stands has shown; None before."""
        return None if self.job is None else self.finding_of(self.job.at)

    def finding_of(self, step: str) -> Finding | None:
        """Return what a step has shown: found now, else as it was kept; None before."""
        job = self.job
        if job is None:
            return None
        if self.reader.is_of(job, self._unit()):
            return self.reader.findings.get(step)
        kept = job.last(step)
        return Finding(kept.said, kept.state, kept.figure) if kept is not None and kept.said else None

    @property
    def bench_sweep(self) -> str | None:
        """What the practice bench will turn for this step; None at a real port, or where it has nothing."""
        if self.story is None or self.job is None:
            return None
        refused = [one for one in self.job.of_step(self.job.at) if one.state in REFUSING]
        return self.story.sweep(self.job.at, max(self.job.attempt, 1 + len(refused)))

    @property
    def floats_seen(self) -> int:
        """How often the shaft was seen to go from one hold to the next in the sweep that is being taken."""
        sweep = self.sweep
        if sweep is None or sweep.begun_ns is None or sweep.takes is not StepSweep.PUSH_PULL:
            return 0
        return self._floats_since(sweep.begun_ns)

    @property
    def between_marks_deg(self) -> float | None:
        """How far the arbor's mark stands past the part's; None where one was not touched."""
        live = self._live()
        board, setup = live.board, live.setup
        if board.part_mark is None or board.arbor_mark is None or not board.counts_per_turn:
            return None
        counts = (board.arbor_mark - board.part_mark) * setup.sense
        return counts * 360.0 / board.counts_per_turn % 360.0

    @property
    def mounts_again(self) -> bool:
        """Tell whether the next thing is another mounting."""
        return mounts_again(self.job, self.finding)

    def _around(self) -> Surroundings:
        return Surroundings(
            live=self._live(),
            now_ns=self._now_ns(),
            finding=self.finding,
            end_float_mm=self._end_float_mm(),
            has_bench=self.story is not None,
            floats_seen=self.floats_seen,
            bench_sweep=self.bench_sweep,
            new_id=str(uuid4()),
        )

    def _end_float_mm(self) -> float | None:
        found = self.job.last("end-float") if self.job else None
        if found is None or found.state not in (CheckState.CLEAR, CheckState.DOUBTFUL):
            return None
        return self.reader.float_mm(found.id)

    # --- messages and what they ask for ---------------------------------------------------------------

    def send(self, message: GuideMessage) -> None:
        """Take a message. Raises FullturnError where it will not do, changing nothing."""
        before = self.state
        self.state, wanted = update_guide(before, self._around(), message)
        try:
            for effect in wanted:
                self._carry_out(effect)
        except FullturnError:
            self.state = before
            raise

    def take_event(self, message: GuideMessage) -> None:
        """Take an event that has come back: events count from when the job was first looked at."""
        if self._opened:
            self.send(message)

    def _carry_out(self, effect: GuideEffect) -> None:
        match effect:
            case Send(intent):
                self._send(intent)
            case KeepJob(job):
                self.send(JobWritten(self._write(job)))
            case KeepSweep(event):
                self._keep_sweep(event)
            case MoveBench():
                self._move(effect)
                self.send(BenchMoved())
            case PutAside():
                assert self.folder is not None
                aside = job_file.put_away(self.folder)
                self.reader = JobReader()
                self.send(JobPutAside(aside.name if aside else None))
            case _:
                assert_never(effect)

    def _write(self, job: Job) -> str:
        """Write a job; return why it is not kept, empty where it is."""
        if self.folder is None:
            return self.problem
        try:
            job_file.write(self.folder, job)
        except BadInput as error:
            return str(error)
        return ""

    def _keep_sweep(self, event: SweepTaken) -> None:
        live = self._live()
        if live.recording is None or self.folder is None or self.job is None:
            return
        try:
            file = job_file.keep_recording(live.recording, self.folder)
        except BadInput as error:
            self._send(ShowText(str(error)))
            return
        self.send(
            SweepKept(
                JobSweep(
                    event.id,
                    event.step,
                    event.attempt,
                    file,
                    live.recording_id,
                    event.from_turn,
                    event.to_turn,
                    taken=self._now().isoformat(timespec="seconds").replace("+00:00", "Z"),
                )
            )
        )

    # --- beside ---------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Look at what has come; called by the timer, whichever page is open."""
        self.send(Ticked())
        for sweep_id, finding in self.reader.take():
            self.send(FindingMade(sweep_id, finding))

    @property
    def wants_work(self) -> bool:
        """Tell whether sweeps have to be read anew, or a session of the story closed."""
        if self.story is not None and self.story.ended.wait:
            return True
        return self.job is not None and self.reader.wants(self.job, self._unit(), self._limit())

    def work(self) -> None:
        """Do what is wanted; beside the painting, from one thread."""
        self.close_old()
        job, folder, reader, limit = self.job, self.folder, self.reader, self._limit()
        if job is not None and folder is not None and reader.wants(job, self._unit(), limit):
            reader.work(job, folder, self._unit(), limit)

    def _limit(self) -> Mapping[str, str]:
        """Return the limit the set-up has now, which holds for the sweeps before it too.

        Empty where it has none: then each sweep keeps its own.
        """
        text = self._live().setup.text
        return {key: text.get(key, "") for key in LIMIT_KEYS} if text.get("limit") else {}

    def close_old(self) -> None:
        """Close sessions of the story that are over."""
        if self.story is not None:
            self.story.ended.close()
