"""Steps once a sweep was told: its result in one sentence, what else it says, its curve, the cut card."""

import numpy as np

from analysis.numerics import OrderVectors
from logger.job import BY_KEY, CAUTIONS, Job
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.lengths import length
from logger.live.drawing.plots import Plot, Tick, axis, strip
from logger.live.drawing.rows import Row, fit, harmless, wrapped
from logger.live.job.guide import JobGuide
from logger.live.state.pass_trace import BINS
from logger.studies import CARD_LENGTHS

LEAST_DRAWN, MOST_DRAWN = 5, 20
VALUE_NAMES = {
    "allowance": "allowance below the lowest place",
    "pass_depth": "deepest pass",
    "stock": "stock there is now",
    "minimum": "least stock the maker allows",
}
NO_VERDICT = "As left was skipped: there is no verdict. A zero on the lathe is none."
NOTHING_MOUNTED = "No mounting was measured: nothing can be predicted and no cut is planned."


def finding_rows(guide: JobGuide, options: DisplayOptions, width: int, room: int, chosen: int) -> list[Row]:
    """Return what the step has shown, with its curve where there is room."""
    job, finding = guide.job, guide.finding
    assert job is not None
    if finding is None:
        return [(), *wrapped(_nothing(job), width, "doubt")]
    rows: list[Row] = [(), *wrapped(finding.sentence, width, finding.role, 6)]
    for line in finding.lines:
        rows += wrapped(line, width, "plain", 4)
    if job.at == "cut-card":
        rows += [(), *_values(job, width, chosen)]
    cannot = wrapped(f"It cannot show {job.step.cannot}", width, "dim", 3)
    left = room - len(rows) - len(cannot) - 1
    if finding.curve is not None and left > LEAST_DRAWN:
        rows += [(), *_drawn(finding.curve, options, width, min(left - 1, MOST_DRAWN))]
    return [*rows, (), *cannot] if left >= 0 else rows


def _nothing(job: Job) -> str:
    if job.at in ("predicted", "cut-card") and not job.of("mounting", "predicted"):
        return NOTHING_MOUNTED
    if job.step.takes and job.here is None:
        return "Nothing was measured here."
    return "The sweeps of this job are being read ..."


def _values(job: Job, width: int, chosen: int) -> list[Row]:
    rows: list[Row] = [(("up and down choose a line, E types it:", "dim"),)]
    for k, key in enumerate(CARD_LENGTHS):
        value = harmless(job.values.get(key, "-"))
        role = "chosen" if k == chosen else "plain"
        rows.append(fit(((f"{'E ' if k == chosen else '  '}{VALUE_NAMES[key]:<34}{value}", role),), width))
    return rows


def _drawn(curve: OrderVectors, options: DisplayOptions, width: int, height: int) -> list[Row]:
    turn = np.linspace(0.0, 2.0 * np.pi, BINS, endpoint=False)
    mm, ends = curve.curve(turn), curve.extremes
    top = float(np.degrees(ends.high_rad))
    ticks = [Tick(top, f"high point {top:.0f} deg", "mark")]
    plot = Plot(mm, mm, None, None, ticks=ticks, ascii_only=options.ascii_only)
    note = f"{length(ends.tir_mm, options.unit)} high"
    return [
        *strip(plot, width, height - 1, 1e-4),
        axis(width, None, "0 mark", ascii_only=options.ascii_only, note=note),
    ]


def end_of_job(guide: JobGuide, width: int) -> list[Row]:
    """Return the verdict once the last step is behind, and what was left out."""
    job = guide.job
    assert job is not None
    rows: list[Row] = [*wrapped("The job is done.", width, "strong"), ()]
    finding = guide.finding_of("as-left")
    if finding is None:
        rows += wrapped(NO_VERDICT, width, "doubt")
    else:
        rows += wrapped(finding.sentence, width, finding.role, 6)
        for line in finding.lines:
            rows += wrapped(line, width, "plain", 3)
    if job.skipped and finding is None:
        names = ", ".join(BY_KEY[key].title for key in job.skipped)
        rows += [(), *wrapped(f"Skipped: {names}.", width, "doubt")]
    rows += [(), *wrapped(CAUTIONS["assembly"].text, width, "dim")]
    return [
        *rows,
        (),
        *wrapped("PageUp goes back a step. V puts the job aside and begins it anew.", width, "dim"),
    ]
