"""What each step of a job has shown, in one sentence and a few lines, from its sweeps.

The same numbers and the same sentences as the commands; a step that misses another says so.
"""

from collections.abc import Callable
from dataclasses import replace

from analysis.errors import FullturnError
from analysis.results import CheckState
from logger.job import findings_in_bearings as in_bearings, findings_on_lathe as on_lathe
from logger.job.finding import Finding, LengthWriter
from logger.job.job import Job
from logger.job.step_sweeps import StepSweeps
from logger.job.steps import BY_KEY, ORDER
from logger.reports.phrases import printable

FINDERS: dict[str, Callable[[StepSweeps, LengthWriter], Finding]] = {
    "as-found": in_bearings.as_found,
    "arbor": on_lathe.arbor,
    "mounting": on_lathe.mounting,
    "half-before": on_lathe.half_before,
    "predicted": on_lathe.predicted,
    "cut-card": on_lathe.planned_cut,
    "after-cut": on_lathe.after_cut,
    "half-after": on_lathe.half_after,
    "as-left": in_bearings.as_left,
}
NEEDS = {"predicted": ("mounting", "predicted"), "cut-card": ("mounting", "predicted")}
"""Steps that are told from the sweep of another."""


def mounting_figures(sweeps: StepSweeps, unit: str) -> dict[str, str]:
    """Return the figure of each mounting for the list of steps, by its sweep."""
    return on_lathe.figures(sweeps, LengthWriter(unit))


def finding_of(sweeps: StepSweeps, unit: str, limit_words: str) -> dict[str, Finding]:
    """Return what every step with something to tell says, by its key.

    ``limit_words``: the limit as written, for the end float, which is measured before anything else.
    """
    keys = ("end-float", *FINDERS)
    there = [key for key in keys if sweeps.job.last(*NEEDS.get(key, (key,))) is not None]
    return {key: finding_at(key, sweeps, unit, limit_words) for key in there}


def finding_at(key: str, sweeps: StepSweeps, unit: str, limit_words: str) -> Finding:
    """Return what one step says that has its sweep; that another sweep is missing is a finding too."""
    writer = LengthWriter(unit)
    try:
        if key == "end-float":
            shown = in_bearings.end_float(sweeps, writer, limit_words)
        else:
            shown = FINDERS[key](sweeps, writer)
        if key not in NEEDS and sweeps.refused(key):
            shown = replace(shown, state=CheckState.REFUSED)
    except FullturnError as error:
        shown = Finding(printable(str(error)), "doubt", failed=True)
    return _gone_on_without(shown, key, sweeps.job)


def _gone_on_without(shown: Finding, step: str, job: Job) -> Finding:
    """Return what a step says with the steps before it that were gone on without."""
    before = [BY_KEY[key].title for key in ORDER[: ORDER.index(step)] if key in job.without]
    return replace(shown, lines=(*shown.lines, f"Gone on without: {', '.join(before)}.")) if before else shown
