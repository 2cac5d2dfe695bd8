"""Steps while a sweep is taken: the reading in large digits, turns so far, what is missing, the strip."""

from analysis.measurands import FLOATS_WANTED
from logger.job import WANTED_TURNS, StepSweep
from logger.live.drawing.angle_words import missing_words
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.large_digits import big, width_of
from logger.live.drawing.lengths import length, reading_text
from logger.live.drawing.plots import axis, strip, turn_bar
from logger.live.drawing.rows import Row, wrapped
from logger.live.job.guide import JobGuide
from logger.live.job.sweep_in_progress import PUSH_AND_PULL, SweepInProgress
from logger.live.pages.turning import DASHES, plot_of
from logger.live.state.view import View

LEAST_SCALE_STEPS = 12.0


def taking(view: View, options: DisplayOptions, guide: JobGuide, width: int, room: int) -> list[Row]:
    """Return the panel of a sweep that is being taken, at most ``room`` rows."""
    job, sweep = guide.job, guide.sweep
    assert job is not None
    assert sweep is not None
    rows = [*wrapped(job.step.do, width, "plain", 3), (), *_digits(view, options, width)]
    if sweep.pending:
        return [*rows, (("being worked out ...", "strong"),)]
    if view.words:
        rows += wrapped(view.words, width, "doubt", 2)
    if sweep.takes is StepSweep.PUSH_PULL:
        seen = guide.floats_seen
        return [
            *rows,
            (((f"{min(seen, FLOATS_WANTED)} of {FLOATS_WANTED}"), "strong"),),
            *wrapped(f"{PUSH_AND_PULL.capitalize()}; then SPACE.", width, "plain"),
        ]
    rows += _turns(view, options, sweep, width)
    left = room - len(rows) - 3
    if left >= 4:
        plot = plot_of(view, options)
        rows += strip(plot, width, left, max(LEAST_SCALE_STEPS * view.step_mm, 1e-4))
        rows.append(axis(width, plot.head_deg, "0 mark", ascii_only=options.ascii_only))
        rows.append(turn_bar(view.missing, width, ascii_only=options.ascii_only))
    return rows


def _digits(view: View, options: DisplayOptions, width: int) -> list[Row]:
    shown = view.shown_mm
    text = DASHES if shown is None or not view.live else reading_text(shown, view.step_mm, options.unit)
    while text != DASHES and width_of(text) > width - 6 and "." in text:
        text = text[:-1]
    lines = big(text, ascii_only=options.ascii_only)
    role, last = "reading" if view.live else "doubt", len(lines) - 1
    return [
        ((line, role), (f"  {options.unit}" if k == last else "", "strong")) for k, line in enumerate(lines)
    ]


def _turns(view: View, options: DisplayOptions, sweep: SweepInProgress, width: int) -> list[Row]:
    if view.broken:
        return wrapped(f"The sweep broke: {view.broken}. It begins anew.", width, "doubt", 3)
    n = len(sweep.turns)
    if not n:
        rows: list[Row] = [(("no full turn yet", "strong"),)]
        if view.missing:
            words = f"not yet seen: {missing_words(view.missing, view.setup)}"
            rows += wrapped(words, width, "doubt", 2)
        return rows
    raw_mm = sweep.turns[-1].result.tir_raw_mm
    tir = f"   TIR {length(raw_mm, options.unit)}" if view.claims.tells_numbers else ""
    more = f", {WANTED_TURNS} are better" if n < WANTED_TURNS else ""
    return [
        (
            (f"{n} full turn{'s' if n > 1 else ''}{more}", "strong"),
            (tir, "plain"),
        ),
    ]
