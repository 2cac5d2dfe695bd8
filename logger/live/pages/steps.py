"""Steps: the list of steps on the left; on the right what to do, what it shows and cannot, and its result."""

from collections.abc import Sequence

from logger.job import CAUTIONS, ORDER, STEPS, Job
from logger.live.drawing.display_options import ROUND_FROM, DisplayOptions
from logger.live.drawing.rows import Row, beside, fit, harmless, page, wrapped
from logger.live.job.guide import JobGuide
from logger.live.job.guide_state import GuidePhase
from logger.live.pages.page_frame import bottom, head, listed
from logger.live.pages.step_result import end_of_job, finding_rows
from logger.live.pages.step_sweep import taking
from logger.live.state.view import View

LIST_WIDTH, WIDE_LIST = 33, 37
NAME_WIDTH = 15
PREDICTED = ("predicted", "cut-card")
"""Told from the sweep of another step: not before they are reached."""
KEPT = (
    "A job is kept under the part's name and its job number, so that it stands tomorrow where it is left "
    "today. Job number, limit and track radius stand in Set-up (2)."
)
NO_LIMIT = "No limit is entered: nothing is held against one. Write it as the manual does, in Set-up (2)."
MARKS_AGAIN = "Asked anew after a remount or a restart. K leaves count 0, or the index angle of the set-up."


def steps_page(
    view: View, options: DisplayOptions, guide: JobGuide, chosen: int, words: str, width: int, height: int
) -> list[Row]:
    """Return the page; ``chosen`` is the line of the cut card that E enters, ``words`` what SPACE does."""
    rows: list[Row] = [head(view, "3 Steps", width, options), ()]
    room = height - 3
    if guide.job is None:
        rows += [(("  ", "plain"), *one) for one in wrapped(guide.problem, width - 4, "doubt")]
    else:
        left = WIDE_LIST if width >= ROUND_FROM else LIST_WIDTH
        inner = width - left - 4
        right = _panel(view, options, guide, chosen, inner, room)
        bar = "|" if options.ascii_only else "│"
        ruled = [((f"{bar} ", "dim"), *one) for one in [*right, *[()] * (room - len(right))]]
        rows += beside(step_list(guide, guide.job, options, left), ruled, left)
    rows = [*rows[: height - 1], *[()] * max(0, height - 1 - len(rows))]
    rows.append(bottom(view, words, width))
    return page(rows, width, height)


def jobs_page(
    view: View, options: DisplayOptions, jobs: Sequence[Job], chosen: int, words: str, width: int, height: int
) -> list[Row]:
    """Return the page on which a job is chosen, while no part is named."""
    rows: list[Row] = [head(view, "3 Steps", width, options), (), (("  Which job?", "strong"),), ()]
    lines: list[Row] = []
    for job in jobs:
        stands = "done" if job.finished else f"at: {job.step.title}"
        who = harmless(", ".join(text for text in (job.part, job.number) if text))
        lines.append(((f"{who[:44]:<46}", "strong"), (stands, "plain")))
    lines.append((("another part: type its name", "plain"),))
    rows += [*listed(lines, chosen, height - 9, options, width), ()]
    rows += [(("  ", "plain"), *one) for one in wrapped(KEPT, width - 4, "dim")]
    rows = [*rows[: height - 1], *[()] * max(0, height - 1 - len(rows))]
    rows.append(bottom(view, words, width))
    return page(rows, width, height)


def step_list(guide: JobGuide, job: Job, options: DisplayOptions, width: int) -> list[Row]:
    """Return every step with what it has given, and of several mountings each."""
    rows: list[Row] = []
    for number, step in enumerate(STEPS, 1):
        every, here = job.of(step.key), job.at == step.key
        finding = None if step.key in PREDICTED and not _reached(job, number) else guide.finding_of(step.key)
        figure = "skipped" if step.key in job.skipped else finding.figure if finding is not None else ""
        if step.optional and not figure:
            figure = "(PageUp)" if job.at == ORDER[number] else "-"
        if step.key == "mounting" and len(every) > 1:
            figure = f"{len(every)} mountings"
        mark = f"{options.arrow} " if here else "  "
        role = "chosen" if here else "plain" if figure and finding is not None else "dim"
        text = f"{number:>2} {step.short:<{NAME_WIDTH - 3}}{harmless(figure)}"
        rows.append(fit(((mark, "key" if here else "plain"), (text, role)), width))
        if step.key == "mounting" and len(every) > 1:
            figures = [guide.reader.figures.get(one.id, one.figure) for one in every]
            lines = [f"{'':<7}{k:<2}{'':<8}{harmless(text)}" for k, text in enumerate(figures, 1)]
            rows += [fit(((line, "plain"),), width) for line in lines[-4:]]
    rows.append(())
    note = "  TIR in " + options.unit
    return [*rows, ((note if not job.finished else note + "; job done", "dim"),)]


def _reached(job: Job, number: int) -> bool:
    return job.finished or ORDER.index(job.at) + 1 >= number


def _panel(
    view: View, options: DisplayOptions, guide: JobGuide, chosen: int, width: int, height: int
) -> list[Row]:
    job, phase = guide.job, guide.phase
    assert job is not None
    if phase is GuidePhase.DONE:
        return end_of_job(guide, width)
    rows = _title(job, width)
    if guide.problem:
        rows += wrapped(guide.problem, width, "doubt", 3)
    if phase is GuidePhase.CAUTION:
        return [*rows, (), *_to_read(job, width)]
    caution = "; ".join(CAUTIONS[key].short for key in job.step.cautions)
    last = wrapped(f"Caution: {caution}.", width, "dim", 3)
    room = height - len(last) - len(rows)
    if phase is GuidePhase.CONFIRM:
        rows += [(), *_to_confirm(guide, width)]
    elif phase in (GuidePhase.READY, GuidePhase.MARK):
        rows += [(), *_to_do(view, guide, width)]
    elif guide.sweep is not None:
        rows += taking(view, options, guide, width, room)
    else:
        rows += finding_rows(guide, options, width, room, chosen)
    kept = height - len(last)
    return [*rows[:kept], *[()] * (kept - len(rows)), *last]


def _title(job: Job, width: int) -> list[Row]:
    number = ORDER.index(job.at) + 1
    again = f", no. {job.attempt}" if job.at == "mounting" and job.attempt > 1 else ""
    return wrapped(f"Step {number} of {len(ORDER)}: {job.step.title}{again}", width, "strong", 2)


def _to_read(job: Job, width: int) -> list[Row]:
    rows: list[Row] = [((" CAUTION ", "key"), ("  asked once in a job", "dim")), ()]
    rows += wrapped(CAUTIONS[job.unacknowledged[0]].text, width, "strong")
    if len(job.unacknowledged) > 1:
        rows += [(), (("(one more follows)", "dim"),)]
    return rows


def _to_do(view: View, guide: JobGuide, width: int) -> list[Row]:
    job, sweep = guide.job, guide.sweep
    assert job is not None
    rows = wrapped(job.step.do, width, "strong", 5)
    rows += [(), *named("shows", job.step.shows, width), *named("cannot", job.step.cannot, width), ()]
    if sweep is not None and sweep.marks:
        then = " Then the arbor's." if len(sweep.marks) > 1 else ""
        text = f"Turn until the {sweep.marks[0]}'s mark stands under the tip, stop, press SPACE.{then}"
        return [*rows, *wrapped(text, width, "mark", 4), *wrapped(MARKS_AGAIN, width, "dim", 4)]
    if view.setup.limit is None:
        rows += wrapped(NO_LIMIT, width, "doubt")
    if guide.story is not None and guide.bench_sweep is None:
        rows += wrapped("The practice bench has no such sweep: SPACE skips the step.", width, "doubt")
    elif guide.story is not None:
        rows += wrapped(f"The practice bench does it: {guide.bench_sweep}.", width, "dim")
    return rows


def _to_confirm(guide: JobGuide, width: int) -> list[Row]:
    between = guide.between_marks_deg
    deg = "at an unknown angle from" if between is None else f"{between:.1f} deg past"
    return [
        *wrapped(f"Arbor's mark {deg} the part's: right?", width, "mark", 2),
        *wrapped("SPACE: yes, begin the sweep. G: no, both marks are touched again.", width, "strong", 3),
    ]


def named(name: str, text: str, width: int, role: str = "plain", most: int = 4) -> list[Row]:
    """Return a text with its name in front of the first row."""
    lines = wrapped(text, width - 8, role, most)
    return [((f"{name if k == 0 else '':<8}", "dim"), *one) for k, one in enumerate(lines)]
