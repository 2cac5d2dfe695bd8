"""A job says what a delay that nothing tells does to part and spindle, and nothing where it is declared."""

import pytest
from places import ROOT

from logger.inputs import analysed, load_sweep
from logger.job.findings import finding_of
from logger.job.job import Job, JobSweep
from logger.job.step_sweeps import StepSweeps

RECORDINGS = {"mounting": "wind-pump-mount-2", "half-before": "wind-pump-half-turn-before"}


def said(**setup: str) -> str:
    """Return the lines beneath the half turn before the cut."""
    job, found = Job("part", "1"), {}
    for step, name in RECORDINGS.items():
        loaded = load_sweep(str(ROOT / "recordings" / name / "recording.mcap"), setup)
        found[step] = analysed(loaded, step)
        job = job.with_sweep(JobSweep(step, step, 1, "recording.mcap", step, 0, 1, ""))
    return " ".join(finding_of(StepSweeps(job, found), "mm", "")["half-before"].lines)


def test_a_half_turn_says_that_nothing_tells_how_late_the_gauge_is() -> None:
    assert "Nothing tells how late the gauge is" in said()


@pytest.mark.parametrize("delay", ["12 +- 3 ms"])
def test_with_a_declared_delay_nothing_is_said(delay: str) -> None:
    assert "how late" not in said(gauge_delay=delay)
