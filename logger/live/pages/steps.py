"""Steps: the list of steps on the left, on the right what to do, what it shows and cannot, and its result."""

from analysis.units import format_length
from logger.live.digits import big, width_of
from logger.live.guided.cautions import CAUTIONS
from logger.live.guided.job import Job, Taken
from logger.live.guided.steps import BY_KEY, ORDER, PUSH_PULL, STEPS, WANTED_TURNS
from logger.live.guided.telling import Told
from logger.live.guided.walk import Walk
from logger.live.lengths import length, reading_text
from logger.live.look import ROUND_FROM, Look
from logger.live.pages.parts import bottom, head
from logger.live.pages.turning import DASHES, plot_of, seen_row
from logger.live.places import missing_words
from logger.live.plots import Plot, Tick, axis, strip, turn_bar
from logger.live.rows import Row, beside, cells, fit, harmless, page, row, wrapped
from logger.live.trace import BINS
from logger.live.view import View
from logger.predicted import CARD_LENGTHS

LIST_WIDTH, WIDE_LIST = 29, 38
VALUE_NAMES = {
    "allowance": "allowance below the lowest place",
    "pass_depth": "deepest pass",
    "stock": "stock there is now",
    "minimum": "least stock the maker allows",
}
NO_PART = (
    "A job is kept under the part's name and the job number, so that it stands tomorrow where it is left "
    "today. SPACE asks for the part's name; part, job number, limit and track radius stand in Set-up (2)."
)


def steps_page(
    view: View, look: Look, walk: Walk, chosen: int, words: str, width: int, height: int
) -> list[Row]:
    """Return the page; ``chosen`` is the line of the cut card that E enters."""
    rows: list[Row] = [head(view, "3 Steps", width, look), ()]
    body_height = height - 3
    if walk.job is None:
        text = walk.problem or NO_PART
        rows += [
            (("  ", "plain"), *one)
            for one in wrapped(text, width - 4, "strong" if not walk.problem else "doubt")
        ]
    else:
        wide = WIDE_LIST if width >= ROUND_FROM else LIST_WIDTH
        inner = width - wide - 3
        left = step_list(walk.job, look, wide)
        right = _panel(view, look, walk, chosen, inner, body_height)
        bar = "|" if look.ascii_only else "│"
        ruled = [((f"{bar} ", "dim"), *one) for one in [*right, *[()] * (body_height - len(right))]]
        rows += beside(left, ruled, wide)
    rows = [*rows[: height - 1], *[()] * max(0, height - 1 - len(rows))]
    rows.append(bottom(view, words, width))
    return page(rows, width, height)


# --- the list ---------------------------------------------------------------------------------------------


def step_list(job: Job, look: Look, width: int) -> list[Row]:
    """Return every step with what it has given; of several mountings each."""
    rows: list[Row] = []
    for number, step in enumerate(STEPS, 1):
        here = job.at == step.key
        every = job.of(step.key)
        figure = "skipped" if step.key in job.skipped else (every[-1].figure if every else "")
        if len(every) > 1:
            figure = ""
        rows.append(_line(f"{number} {step.short}", figure, here, bool(every), look, width))
        if len(every) > 1:
            rows += [_attempt(k, one, look, width) for k, one in enumerate(every, 1)][-4:]
    if job.finished:
        rows += [(), (("  job done", "strong"),)]
    return rows


def _line(name: str, figure: str, here: bool, done: bool, look: Look, width: int) -> Row:
    mark = f"{look.arrow} " if here else "  "
    role = "chosen" if here else "plain" if done else "dim"
    text = f"{name:<14}{figure}"
    return fit(((mark, "key" if here else "plain"), (text, role)), width)


def _attempt(number: int, one: Taken, look: Look, width: int) -> Row:
    del look
    return fit(((f"     {number}: {' ' * 8}{one.figure}", "plain"),), width)


# --- the panel --------------------------------------------------------------------------------------------


def _panel(view: View, look: Look, walk: Walk, chosen: int, width: int, height: int) -> list[Row]:
    job, phase = walk.job, walk.phase
    assert job is not None
    if phase == "done":
        return _end(walk, width)
    rows = [*_title(job, width)]
    if walk.problem:
        rows += wrapped(walk.problem, width, "doubt", 3)
    if phase == "caution":
        return [*rows, (), *_caution_to_read(job, width)]
    step = job.step
    if phase in ("ready", "mark"):
        rows += [(), *_ready(walk, view, width)]
    elif phase in ("turning", "working") and walk.sweeping is not None:
        rows += [*_taking(view, look, walk, width, height - len(rows) - 1)]
    else:
        rows += [(), *_told(walk, width, chosen)]
        told = walk.told
        room = height - len(rows) - 3
        if told is not None and told.curve is not None and room >= 5:
            rows += [(), *_curve(told, look, width, min(room, 14))]
    caution = "; ".join(CAUTIONS[key].short for key in step.cautions)
    last = wrapped(f"Caution: {caution}.", width, "dim", 2)
    return [*rows[: height - len(last)], *[()] * (height - len(last) - len(rows)), *last]


def _title(job: Job, width: int) -> list[Row]:
    number = ORDER.index(job.at) + 1
    again = f", mounting {job.attempt}" if job.at == "mounting" and job.attempt > 1 else ""
    return wrapped(f"{number}/{len(ORDER)} {job.step.title}{again}", width, "strong", 2)


def _caution_to_read(job: Job, width: int) -> list[Row]:
    caution = CAUTIONS[job.unacknowledged[0]]
    more = len(job.unacknowledged) - 1
    rows: list[Row] = [((" CAUTION ", "key"), ("  once in this job; read it, then SPACE", "dim")), ()]
    rows += wrapped(caution.text, width, "strong")
    if more:
        rows += [(), (("and one more", "dim"),)]
    return rows


def _named(name: str, text: str, width: int, role: str = "plain", most: int = 4) -> list[Row]:
    lines = wrapped(text, width - 8, role, most)
    return [((f"{name if k == 0 else '':<8}", "dim"), *one) for k, one in enumerate(lines)]


def _ready(walk: Walk, view: View, width: int) -> list[Row]:
    job = walk.job
    assert job is not None
    step = job.step
    rows = [*_named("do", step.do, width, "strong"), ()]
    rows += _named("shows", step.shows, width)
    rows += _named("cannot", step.cannot, width)
    rows.append(())
    if walk.on_story and walk.bench_sweep is None:
        rows += wrapped("The practice bench tells no such sweep: SPACE skips the step.", width, "doubt")
    elif walk.on_story:
        rows += wrapped(f"The practice bench does it for you: {walk.bench_sweep}.", width, "dim")
    elif walk.sweeping is not None and walk.sweeping.marks:
        rows += wrapped(_mark_words(walk.sweeping.marks[0], len(walk.sweeping.marks), view), width, "mark")
    return rows


def _mark_words(on: str, more: int, view: View) -> str:
    del view
    after = " Then the arbor's." if more > 1 else ""
    return (
        f"Turn until the {on}'s mark stands under the tip, stop, press SPACE.{after} Marks are asked anew "
        "after a remount and after a restart of the board."
    )


def _taking(view: View, look: Look, walk: Walk, width: int, room: int) -> list[Row]:
    job, sweeping = walk.job, walk.sweeping
    assert job is not None
    assert sweeping is not None
    rows = wrapped(job.step.do, width, "plain", 2)
    rows += [(), *_digits(view, look, width)]
    if view.words:
        rows += wrapped(view.words, width, "doubt", 2)
    if sweeping.pending:
        rows.append((("being worked out ...", "strong"),))
    elif job.step.takes == PUSH_PULL:
        rows.append((("push home, pull out, three times; then SPACE", "strong"),))
    else:
        rows.append(_turns_row(view, look, walk))
        if view.broken:
            rows += wrapped(f"The sweep broke: {view.broken}. It begins anew.", width, "doubt", 2)
        elif view.missing and not walk.full_turns:
            rows += wrapped(f"not yet seen: {missing_words(view.missing, view.setup)}", width, "doubt", 2)
        else:
            rows.append(seen_row(view)[:1])
    left = room - len(rows) - 2
    if job.step.takes != PUSH_PULL and left >= 5:
        bare = plot_of(view, look)
        rows += [(), *strip(bare, width, left - 2, max(12.0 * view.step_mm, 1e-4))]
        rows.append(axis(width, bare.head_deg, f"0 {view.setup.mark_on}'s mark", ascii_only=look.ascii_only))
        rows.append(turn_bar(view.missing, width, ascii_only=look.ascii_only))
    return rows


def _digits(view: View, look: Look, width: int) -> list[Row]:
    shown = view.shown_mm
    text = DASHES if shown is None or not view.live else reading_text(shown, view.step_mm, look.unit)
    while text != DASHES and width_of(text) > width - 6 and "." in text:
        text = text[:-1]
    lines = big(text, ascii_only=look.ascii_only)
    role = "reading" if view.live else "doubt"
    return [
        ((line, role), (f"  {look.unit}" if k == len(lines) - 1 else "", "strong"))
        for k, line in enumerate(lines)
    ]


def _turns_row(view: View, look: Look, walk: Walk) -> Row:
    n = walk.full_turns
    if not n:
        return (("no full turn yet", "strong"),)
    last = walk.sweeping.turns[-1].told if walk.sweeping else view.last
    tir = "" if last is None else f"   TIR of the last {length(last.tir_raw_mm, look.unit)}"
    more = f", {WANTED_TURNS} are better" if n < WANTED_TURNS else ""
    return ((f"{n} full turn{'s' if n > 1 else ''}{more}", "strong"), (tir, "plain"))


def _told(walk: Walk, width: int, chosen: int) -> list[Row]:
    job, told = walk.job, walk.told
    assert job is not None
    if told is None:
        missing = job.step.takes and job.here is None
        text = "Nothing was swept here yet." if missing else "The sweeps of this job are being read ..."
        if job.at in ("predicted", "cut-card") and not job.of("mounting", "predicted"):
            text = "No mounting was swept: nothing can be predicted and no cut is planned."
        return wrapped(text, width, "doubt")
    rows = wrapped(told.sentence, width, told.role, 5)
    for line in told.lines:
        rows += wrapped(line, width, "plain", 3)
    if job.at == "cut-card":
        rows += [(), *_values(job, width, chosen)]
    return [*rows, (), *_named("cannot", job.step.cannot, width, "dim", 3)]


def _values(job: Job, width: int, chosen: int) -> list[Row]:
    rows: list[Row] = []
    for k, key in enumerate(CARD_LENGTHS):
        value = harmless(job.values.get(key, "-"))
        role = "chosen" if k == chosen else "plain"
        rows.append(fit(((f"{'E ' if k == chosen else '  '}{VALUE_NAMES[key]:<34}{value}", role),), width))
    return rows


def _curve(told: Told, look: Look, width: int, height: int) -> list[Row]:
    import numpy as np  # noqa: PLC0415

    assert told.curve is not None
    turn = np.linspace(0.0, 2.0 * np.pi, BINS, endpoint=False)
    mm = told.curve.curve(turn)
    top = float(np.degrees(told.curve.extremes.high_rad))
    tall = format_length(float(mm.max() - mm.min()), look.unit)
    plot = Plot(
        mm, mm, None, None, ticks=[Tick(top, f"high point {top:.0f} deg", "mark")], ascii_only=look.ascii_only
    )
    return [
        *strip(plot, width, max(3, height - 1), 1e-4),
        axis(width, None, "0 mark", ascii_only=look.ascii_only, note=f"{tall} from top to bottom"),
    ]


def _end(walk: Walk, width: int) -> list[Row]:
    job = walk.job
    assert job is not None
    rows: list[Row] = wrapped("The job is done.", width, "strong")
    rows.append(())
    left, told = job.last("as-left"), walk.reading.told.get("as-left")
    if left is None:
        rows += wrapped(
            "As left was skipped: there is no verdict. A zero on the lathe is none.", width, "doubt"
        )
    else:
        role = told.role if told is not None else "strong"
        rows += wrapped(left.said, width, role, 5)
        for line in told.lines if told is not None else ():
            rows += wrapped(line, width, "plain", 3)
    if job.skipped:
        names = ", ".join(BY_KEY[key].title for key in job.skipped)
        rows += [(), *wrapped(f"Skipped: {names}.", width, "doubt")]
    rows += [(), *wrapped(CAUTIONS["assembly"].text, width, "dim")]
    rows += [(), row(("PageUp goes back; V puts this job aside and begins it anew.", "dim"))]
    return rows


__all__ = ["cells", "step_list", "steps_page"]
