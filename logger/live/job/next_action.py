"""What SPACE does next in a walk, in words: short for the footer, whole for the line above it."""

from logger.job import BY_KEY, DONE, PUSH_PULL
from logger.live.job.guide import JobGuide


def primary_label(walk: JobGuide) -> tuple[str, str]:
    """Return what SPACE will do next: (short, whole)."""
    job, phase, sweeping = walk.job, walk.phase, walk.sweeping
    if not walk.may_act:
        return "-", "nothing here: the window that owns the port takes the sweeps"
    if job is None:
        return "name it", "name the part"
    if phase == "caution":
        return "I have read it", "I have read it, go on"
    if phase == "ready":
        return _ready(walk)
    if phase == "mark" and sweeping is not None:
        on = sweeping.marks[0]
        return f"{on}'s mark is here", f"the {on}'s mark stands under the tip now"
    if phase == "turning":
        return _turning(walk)
    if phase == "working":
        return "wait", "wait a moment: it is being worked out"
    if phase == "done":
        return "to Turning", "back to Turning"
    after = _after(walk)
    return after, f"go on: {after}"


def _ready(walk: JobGuide) -> tuple[str, str]:
    if walk.story is None:
        return "ready, begin", "set up as said: begin the sweep"
    if walk.bench_sweep is None:
        return "skip", "skip this step: the practice bench has no such sweep"
    return "ready, begin", f"begin: the practice bench turns {walk.bench_sweep}"


def _turning(walk: JobGuide) -> tuple[str, str]:
    assert walk.sweeping is not None
    if walk.sweeping.takes == PUSH_PULL:
        return "take it", "pushed and pulled three times: take it"
    n = len(walk.sweeping.turns)
    if not n:
        return "(turn once round)", "nothing yet: turn once right round past the mark"
    words = "take this turn" if n == 1 else f"take these {n} turns"
    return words, words


def _after(walk: JobGuide) -> str:
    assert walk.job is not None
    if walk.mounts_again:
        return "mount it again"
    after = walk.job.after
    return "end of the job" if after == DONE else BY_KEY[after].short
