"""Messages to a guided job, and the effects it asks for; a recorded event is a message too."""

from collections.abc import Mapping
from dataclasses import dataclass

from analysis.capture.events import Event, SweepTaken
from logger.job import Finding, Job, JobSweep
from logger.live.state.messages import Intent


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
