"""Where a guided job stands at a live session, as one frozen value."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from logger.job import Finding, Job
from logger.live.job.sweep_in_progress import SweepInProgress
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
    CONFIRM = "confirm"
    """Both marks were touched: is the angle between them right?"""
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
    leaving_ns: int | None = None
    """When going on without a step that refuses was asked for; None where it was not."""
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
    floats_seen: int = 0
    """How often the shaft was seen to go from one hold to the next since the sweep began."""
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
        if sweep.to_confirm:
            return GuidePhase.CONFIRM
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
