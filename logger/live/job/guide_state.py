"""Where a guided job stands at a live session, as one frozen value, and what it is asked."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from analysis.capture.events import Event, SweepTaken
from logger.job import Finding, Job, JobSweep
from logger.live.job.sweep_in_progress import SweepInProgress
from logger.live.state.messages import Intent
from logger.live.state.state import LiveState


class GuidePhase(StrEnum):
    """What the bottom line asks for."""

    NONE = "none"
    """No job: no part is named."""
    CAUTION = "caution"
    READY = "ready"
    """The step's sweep can begin."""
    MARK = "mark"
    """A mark has to be touched."""
    TURNING = "turning"
    """The sweep is being taken."""
    WORKING = "working"
    """It was taken and is being read."""
    SHOWN = "shown"
    """The step shows what it found."""
    DONE = "done"


@dataclass(frozen=True)
class GuideState:
    """Where the guide stands."""

    job: Job | None = None
    problem: str = ""
    """Why there is no job, or why it is not kept."""
    sweep: SweepInProgress | None = None
    """The sweep that is being taken."""
    again: bool = False
    """The step's sweep shall be taken once more."""
    marks_before: Mapping[str, str] = field(default_factory=dict)
    """What the set-up said of the marks before a step asked for them."""
    arbor_boot: int | None = None
    """Boot of the board in which the arbor's mark was touched on this lathe."""


@dataclass(frozen=True)
class Surroundings:
    """What the guide sees around it."""

    live: LiveState
    now_ns: int = 0
    """On the source's monotonic clock."""
    finding: Finding | None = None
    """What the step where the job stands has shown; None before."""
    end_float_mm: float | None = None
    """As measured last and let pass; None where it was not."""
    has_bench: bool = False
    """The practice bench moves on with the job."""
    bench_sweep: str | None = None
    """What it turns for this step; None where it has nothing."""
    new_id: str = ""
    """For a sweep that begins."""

    @property
    def may_act(self) -> bool:
        """Tell whether this window may take sweeps."""
        return self.live.role.owns_board


def phase_of(guide: GuideState, finding: Finding | None) -> GuidePhase:
    """Return what is asked for, from job, sweep in progress and finding of the step."""
    job, sweep = guide.job, guide.sweep
    if job is None:
        return GuidePhase.NONE
    if job.finished:
        return GuidePhase.DONE
    if job.unacknowledged:
        return GuidePhase.CAUTION
    if sweep is not None:
        if sweep.marks:
            return GuidePhase.MARK
        return GuidePhase.WORKING if sweep.pending else GuidePhase.TURNING
    if not job.takes:
        return GuidePhase.SHOWN
    if job.here is None or guide.again:
        return GuidePhase.READY
    return GuidePhase.SHOWN if finding is not None else GuidePhase.WORKING


def mounts_again(job: Job | None, finding: Finding | None) -> bool:
    """Tell whether the next thing is another mounting."""
    if job is None or finding is None or job.at not in ("mounting", "predicted") or job.here is None:
        return False
    return finding.state == "mount-again"


# --- messages ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Press:
    """Do what the bottom line says."""


@dataclass(frozen=True)
class StepBack:
    """Go to the step before; a sweep begun and not taken is given up."""


@dataclass(frozen=True)
class Skip:
    """Leave this step out, leave it at what it has shown, or leave the marks asked for as they are."""


@dataclass(frozen=True)
class Again:
    """Take this step's sweep again; the last one counts."""


@dataclass(frozen=True)
class Another:
    """Mount it once more; the mountings so far are kept."""


@dataclass(frozen=True)
class EnterLength:
    """A length of the cut card as typed; an empty one is taken out."""

    key: str
    words: str


@dataclass(frozen=True)
class BeginAnew:
    """Put the job aside and begin it anew."""


@dataclass(frozen=True)
class Ticked:
    """The timer looked."""


@dataclass(frozen=True)
class JobOpened:
    """Another job lies open, or none, and why."""

    job: Job | None
    problem: str = ""


@dataclass(frozen=True)
class BenchMoved:
    """The practice bench is set up for the step."""


@dataclass(frozen=True)
class SweepKept:
    """A sweep that was taken lies with the job."""

    sweep: JobSweep


@dataclass(frozen=True)
class JobPutAside:
    """The job lies aside under this name; None where there was no file of it."""

    name: str | None


@dataclass(frozen=True)
class JobWritten:
    """The job was written, or why it could not be."""

    problem: str


@dataclass(frozen=True)
class FindingMade:
    """What a sweep has shown."""

    sweep_id: str
    finding: Finding


GuideMessage = (
    Press
    | StepBack
    | Skip
    | Again
    | Another
    | EnterLength
    | BeginAnew
    | Ticked
    | JobOpened
    | BenchMoved
    | SweepKept
    | JobPutAside
    | JobWritten
    | FindingMade
    | Event
)

# --- effects -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Send:
    """Ask the live session for something."""

    intent: Intent


@dataclass(frozen=True)
class KeepJob:
    """Write the job to its file."""

    job: Job


@dataclass(frozen=True)
class KeepSweep:
    """Let the recording of a sweep that was taken stay with the job."""

    event: SweepTaken


@dataclass(frozen=True)
class MoveBench:
    """Set the practice bench up for a sweep of its story."""

    name: str
    seed: int
    setup: Mapping[str, str]
    """Part and job number, which stay whatever the sweep is of."""


@dataclass(frozen=True)
class PutAside:
    """Put the job's folder aside."""


GuideEffect = Send | KeepJob | KeepSweep | MoveBench | PutAside
