"""What each step of a job has shown, in one sentence and a few lines, from its swept sweeps.

The same numbers and the same sentences as the commands; a step that misses another says so.
"""

from collections.abc import Callable

from analysis.errors import FullturnError
from logger.job import findings_in_bearings as telling_bearings, findings_on_lathe as telling_lathe
from logger.job.finding import Finding, LengthWriter
from logger.job.step_sweeps import StepSweeps
from logger.reports import printable

TELLERS: dict[str, Callable[[StepSweeps, LengthWriter], Finding]] = {
    "as-found": telling_bearings.as_found,
    "arbor": telling_lathe.arbor,
    "mounting": telling_lathe.mounting,
    "half-before": telling_lathe.half_before,
    "predicted": telling_lathe.predicted,
    "cut-card": telling_lathe.cut_card,
    "after-cut": telling_lathe.after_cut,
    "half-after": telling_lathe.half_after,
    "as-left": telling_bearings.as_left,
}
NEEDS = {"predicted": ("mounting", "predicted"), "cut-card": ("mounting", "predicted")}
"""Steps that are told from the sweep of another."""


def mounting_figures(sweeps: StepSweeps, unit: str) -> dict[str, str]:
    """Return the figure of each mounting for the list of steps, by its sweep."""
    return telling_lathe.figures(sweeps, LengthWriter(unit))


def finding_of(sweeps: StepSweeps, unit: str, limit_words: str) -> dict[str, Finding]:
    """Return what every step with something to tell says, by its key.

    ``limit_words``: the limit as written, for the end float, which is measured before anything else.
    """
    say = LengthWriter(unit)
    tellers = {
        "end-float": lambda s, words: telling_bearings.end_float(s, words, limit_words),
        **TELLERS,
    }
    told = {}
    for key, teller in tellers.items():
        if sweeps.job.last(*NEEDS.get(key, (key,))) is None:
            continue
        try:
            told[key] = teller(sweeps, say)
        except FullturnError as error:
            told[key] = Finding(printable(str(error)), "doubt", failed=True)
    return told
