"""What SPACE does next in a job, in words: short for the footer, whole for the line above it."""

from analysis.measurands import FLOATS_WANTED
from logger.job import BY_KEY, DONE, StepSweep
from logger.live.job.guide import JobGuide
from logger.live.job.guide_state import GuidePhase
from logger.live.job.sweep_in_progress import PUSH_AND_PULL


def primary_label(guide: JobGuide) -> tuple[str, str]:
    """Return what SPACE will do next: (short, whole)."""
    job, phase, sweep = guide.job, guide.phase, guide.sweep
    if not guide.may_act:
        return "-", "nothing here: the window that owns the port takes the sweeps"
    if job is None:
        return "name it", "name the part"
    if phase is GuidePhase.CAUTION:
        return "I have read it", "I have read it, go on"
    if phase is GuidePhase.READY:
        return _ready(guide)
    if phase is GuidePhase.MARK and sweep is not None:
        on = sweep.marks[0]
        return f"{on}'s mark is here", f"the {on}'s mark stands under the tip now"
    if phase is GuidePhase.CONFIRM:
        return "that is right", "the angle between the marks is right: begin the sweep"
    if phase is GuidePhase.TURNING:
        return _turning(guide)
    if phase is GuidePhase.WORKING:
        return "wait", "wait a moment: it is being worked out"
    if phase is GuidePhase.DONE:
        return "to Turning", "back to Turning"
    if guide.mounts_again:
        return "mount it again", "mount it again (K goes on without)"
    if guide.finding is not None and guide.finding.refuses:
        if job.takes:
            return "do it again", "do this step again (K goes on without)"
        return "-", "nothing to do again here (K goes on without)"
    after = "end of the job" if job.after == DONE else BY_KEY[job.after].short
    return after, f"go on: {after}"


def _ready(guide: JobGuide) -> tuple[str, str]:
    if guide.story is None:
        return "ready, begin", "set up as said: begin the sweep"
    if guide.bench_sweep is None:
        return "skip", "skip this step: the practice bench has no such sweep"
    return "ready, begin", f"begin: the practice bench turns {guide.bench_sweep}"


def _turning(guide: JobGuide) -> tuple[str, str]:
    assert guide.sweep is not None
    if guide.sweep.takes is StepSweep.PUSH_PULL:
        seen = guide.floats_seen
        if seen < FLOATS_WANTED:
            return f"({seen} of {FLOATS_WANTED})", f"nothing yet, {seen} of {FLOATS_WANTED}: {PUSH_AND_PULL}"
        return "take it", f"pushed and pulled {seen} times: take it"
    n = len(guide.sweep.turns)
    if not n:
        return "(turn once round)", "nothing yet: turn once right round past the mark"
    words = "take this turn" if n == 1 else f"take these {n} turns"
    return words, words
