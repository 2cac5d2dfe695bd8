"""One person's walk through a job at one desk: where it stands, and what SPACE does next.

Every act that touches the measurement goes through the desk as an event. Knows nothing of keys and pages.
"""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from analysis.capture.events import EndFloatMeasured, Event, MarkTouched, SweepTaken
from analysis.errors import BadInput, FullturnError
from analysis.setup import LIMIT_KEYS, MarkSide
from analysis.units import parse_length
from logger.job import PUSH_PULL, Finding, Job, JobReader, JobSweep, job_file as files
from logger.live.job.marks_to_touch import MarksToTouch
from logger.live.job.practice_story import PracticeStory
from logger.live.job.sweep_in_progress import SweepInProgress
from logger.live.state.actions import VIEW_ONLY
from logger.live.state.runtime import NOT_KEPT, LiveRuntime
from logger.live.state.update import OWNS

NEEDS_TURNS = "Steps takes full turns: that needs an encoder, or an index pulse each turn"
IN_BEARINGS = ("as-found", "as-left")


class JobGuide:
    """The walk. ``desk`` gives the desk of the moment; a Story moves it on."""

    def __init__(
        self,
        runtime: Callable[[], LiveRuntime],
        data_folder: Path,
        *,
        unit: Callable[[], str],
        story: PracticeStory | None = None,
        moved: Callable[[LiveRuntime], None] = lambda runtime: None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        """``moved`` is told the desk the story has moved on to; ``now`` dates what is kept."""
        self._runtime, self._data = runtime, data_folder
        self._unit, self.story, self._moved, self._now = unit, story, moved, now
        self.job: Job | None = None
        self.problem = ""
        """Why there is no job, or why it is not kept."""
        self.sweep: SweepInProgress | None = None
        """The sweep that is being taken."""
        self.reading = JobReader()
        """What the sweeps say, made beside the painting."""
        self._folder: Path | None = None
        self._again = False
        self._marks = MarksToTouch(runtime)

    # --- opening and keeping --------------------------------------------------------------------------

    def open(self) -> None:
        """Look which job the set-up names, and stand where it was left."""
        runtime = self._runtime()
        part, number = runtime.session.setup.part.strip(), runtime.session.setup.text.get("job", "").strip()
        runtime.on_event = self._noticed
        if not part:
            self.job, self._folder = None, None
            return
        if self.job is not None and (self.job.part, self.job.number) == (part, number):
            return
        self.problem, self.sweep, self._again = "", None, False
        self.reading = JobReader()
        self._folder = files.folder_of(self._data, part, number)
        try:
            self.job = files.read(self._folder) or Job(part, number)
        except BadInput as error:
            self.job, self.problem = None, str(error)

    def jobs(self) -> list[Job]:
        """Return the jobs that can be gone on with, the newest first."""
        return files.jobs(self._data)

    def _keep(self, job: Job) -> None:
        """Take a job over and keep it; what cannot be kept is said and holds for now."""
        self.job = job
        if not self.may_act or self._folder is None:
            return
        try:
            files.write(self._folder, job)
            self.problem = ""
        except BadInput as error:
            self.problem = str(error)

    @property
    def may_act(self) -> bool:
        """Tell whether this window may take sweeps."""
        return self._runtime().kind in OWNS

    # --- where it stands ------------------------------------------------------------------------------

    @property
    def phase(self) -> str:
        """``none``, ``caution``, ``ready``, ``mark``, ``turning``, ``working``, ``told`` or ``done``."""
        job, sweep = self.job, self.sweep
        if job is None:
            return "none"
        if job.finished:
            return "done"
        if job.unacknowledged:
            return "caution"
        if sweep is not None:
            return "mark" if sweep.marks else "working" if sweep.pending else "turning"
        if not job.takes:
            return "told"
        if job.here is None or self._again:
            return "ready"
        return "told" if self.finding is not None else "working"

    @property
    def finding(self) -> Finding | None:
        """What the step where the job stands has shown; None before."""
        return None if self.job is None else self.finding_of(self.job.at)

    def finding_of(self, step: str) -> Finding | None:
        """Return what a step has shown: told now, else as it was kept; None before."""
        job = self.job
        if job is None:
            return None
        if self.reading.is_of(job, self._unit()):
            return self.reading.findings.get(step)
        kept = job.last(step)
        return Finding(kept.said, kept.state, kept.figure) if kept is not None and kept.said else None

    @property
    def bench_sweep(self) -> str | None:
        """What the practice bench will turn for this step; None at a real port, or where it has nothing."""
        if self.story is None or self.job is None:
            return None
        return self.story.sweep(self.job.at, self.job.attempt)

    @property
    def mounts_again(self) -> bool:
        """Tell whether the next thing is another mounting."""
        job, finding = self.job, self.finding
        if job is None or finding is None or job.at not in ("mounting", "predicted") or job.here is None:
            return False
        return finding.state == "mount-again"

    # --- what a person does ---------------------------------------------------------------------------

    def press(self) -> None:
        """Do what the bottom line says."""
        job, phase, sweep = self.job, self.phase, self.sweep
        if job is None or not self._allowed():
            return
        if phase == "caution":
            self._keep(job.acknowledging(job.unacknowledged[0]))
        elif phase == "ready":
            self._ready(job)
        elif phase == "mark" and sweep is not None:
            self._runtime().acts.mark(MarkSide(sweep.marks[0]))
        elif phase == "turning" and sweep is not None:
            sweep.take(self._runtime())
        elif phase == "told":
            self._stand(job.mounting_again() if self.mounts_again else job.onward())

    def _allowed(self) -> bool:
        if not self.may_act:
            self._runtime().say(VIEW_ONLY if self._runtime().kind == "follow" else NOT_KEPT)
        return self.may_act

    def _stand(self, job: Job) -> None:
        self.sweep, self._again = None, False
        self._keep(job)

    def back(self) -> None:
        """Go to the step before; a sweep begun and not taken is given up."""
        if self.job is not None and self._allowed():
            self._stand(self.job.back())

    def skip(self) -> None:
        """Leave this step out, leave it at what it has shown, or leave the marks asked for as they are."""
        job, sweep = self.job, self.sweep
        if job is None or job.finished or not self._allowed():
            return
        if sweep is not None and sweep.marks:
            self._leave_marks(sweep)
            return
        gone = job.skipping()
        self._runtime().say(
            "skipped; results that miss it say so" if gone.skipped != job.skipped else "left at that"
        )
        self._stand(gone)

    def again(self) -> None:
        """Take this step's sweep again; the last one counts."""
        job = self.job
        if job is None or not self._allowed():
            return
        if not job.takes:
            self._runtime().say("this step takes no sweep of its own")
            return
        self.sweep, self._again = None, True

    def another(self) -> None:
        """Mount it once more; the mountings so far are kept."""
        if self.job is None or not self._allowed():
            return
        if self.job.last("mounting") is None:
            self._runtime().say("no mounting yet")
            return
        self._stand(self.job.mounting_again())

    def enter(self, key: str, words: str) -> None:
        """Enter a length of the cut card. Raises BadInput."""
        if self.job is None or not self._allowed():
            return
        if words.strip():
            parse_length(words, key.replace("_", " "))
        self._keep(self.job.entering({key: words.strip()}))

    def begin_anew(self) -> None:
        """Put the job aside and begin it anew. Raises BadInput."""
        if self.job is None or self._folder is None or not self._allowed():
            return
        aside = files.put_away(self._folder)
        self.sweep, self._again = None, False
        self.job, self.reading = Job(self.job.part, self.job.number), JobReader()
        self._runtime().say(f"a new job; the one before lies in {aside.name}" if aside else "a new job")

    # --- a sweep --------------------------------------------------------------------------------------

    def _ready(self, job: Job) -> None:
        runtime = self._runtime()
        if self.story is not None:
            self._move(job, self.story)
            return
        if job.takes != PUSH_PULL and runtime.session.angle_source not in ("encoder", "index"):
            runtime.say(NEEDS_TURNS)
            return
        try:
            marks = self._marks.begin(job.step)
        except BadInput as error:
            runtime.say(str(error))
            return
        self._begin_sweep(job, marks, fresh=False)

    def _move(self, job: Job, story: PracticeStory) -> None:
        """Have the practice bench set up for the step; what the story does not tell is skipped."""
        name = self.bench_sweep
        if name is None:
            self.skip()
            return
        try:
            runtime = story.move(name, 1 + len(job.taken), {"part": job.part, "job": job.number})
        except FullturnError as error:
            self._runtime().say(str(error))
            return
        self._moved(runtime)
        runtime.on_event = self._noticed
        self._begin_sweep(job, [], fresh=True)

    def _begin_sweep(self, job: Job, marks: list[str], *, fresh: bool) -> None:
        self.sweep = SweepInProgress(job.at, job.attempt, job.takes, marks, fresh, job.step.mark_on)
        if not marks:
            self._begin(self.sweep)

    def _begin(self, sweep: SweepInProgress) -> None:
        runtime = self._runtime()
        sweep.begin(runtime)
        # A sweep in its bearings carries the end float that was measured and let pass, for its check.
        found = self.job.last("end-float") if self.job and sweep.step in IN_BEARINGS else None
        if found is not None and found.state in ("clear", "doubtful"):
            value = self.reading.float_mm(found.id)
            if value is not None:
                runtime.note_plain(EndFloatMeasured(value))

    def _leave_marks(self, sweep: SweepInProgress) -> None:
        try:
            self._marks.leave()
        except BadInput as error:
            self._runtime().say(str(error))
            return
        sweep.marks.clear()
        if sweep.begun_ns is None:
            self._begin(sweep)

    def _noticed(self, event: Event) -> None:
        sweep = self.sweep
        self._marks.noticed(event)
        if sweep is None:
            return
        if isinstance(event, MarkTouched) and sweep.touched(event.on):
            if not sweep.marks and sweep.begun_ns is None:
                self._begin(sweep)
        elif isinstance(event, SweepTaken) and event.id == sweep.id:
            self._came_back(event)

    def _came_back(self, taken: SweepTaken) -> None:
        job, recorder, folder = self.job, self._runtime().recorder, self._folder
        self.sweep, self._again = None, False
        if job is None or recorder is None or folder is None:
            return
        try:
            kept = files.keep_recording(recorder.path, folder)
        except BadInput as error:
            self._runtime().say(str(error))
            return
        when = self._now().isoformat(timespec="seconds").replace("+00:00", "Z")
        turns = taken.from_turn, taken.to_turn
        recording_id = recorder.identity.recording_id
        sweep = JobSweep(taken.id, taken.step, taken.attempt, kept, recording_id, *turns, taken=when)
        self._keep(job.with_sweep(sweep))

    # --- beside ---------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Look at what has come; called by the timer, whichever page is open."""
        if self.sweep is not None and self.job is not None:
            self.sweep.count(self._runtime(), self._marks.after_break(self.job.step))
        for sweep_id, finding in self.reading.take():
            if self.job is not None:
                self._keep(self.job.saying(sweep_id, finding.sentence, finding.state, finding.figure))

    @property
    def wants_work(self) -> bool:
        """Tell whether sweeps have to be read or told anew, or a sitting of the story closed."""
        if self.story is not None and self.story.wants_closing:
            return True
        return self.job is not None and self.reading.wants(self.job, self._unit(), self._limit())

    def work(self) -> None:
        """Do what is wanted; beside the painting, from one thread."""
        self.close_old()
        job, folder, reading, limit = self.job, self._folder, self.reading, self._limit()
        if job is not None and folder is not None and reading.wants(job, self._unit(), limit):
            reading.work(job, folder, self._unit(), limit)

    def _limit(self) -> dict[str, str]:
        """Return the limit the set-up has now, which holds for the sweeps before it too.

        Empty where it has none: then each sweep keeps its own.
        """
        text = self._runtime().session.setup.text
        return {key: text.get(key, "") for key in LIMIT_KEYS} if text.get("limit") else {}

    def close_old(self) -> None:
        """Close sittings of the story that are over."""
        if self.story is not None:
            self.story.close_old()
