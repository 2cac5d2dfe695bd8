"""Steps while a sweep is taken: the reading in large digits, turns so far, what is missing, the strip."""

from logger.job import PUSH_PULL, WANTED_TURNS
from logger.live.drawing.angle_words import missing_words
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.large_digits import big, width_of
from logger.live.drawing.lengths import length, reading_text
from logger.live.drawing.plots import axis, strip, turn_bar
from logger.live.drawing.rows import Row, wrapped
from logger.live.job.guide import JobGuide
from logger.live.job.sweep_in_progress import SweepInProgress
from logger.live.pages.turning import DASHES, plot_of
from logger.live.state.view import View

LEAST_SCALE_STEPS = 12.0


def taking(view: View, look: DisplayOptions, walk: JobGuide, width: int, room: int) -> list[Row]:
    """Return the panel of a sweep that is being taken, at most ``room`` rows."""
    job, sweeping = walk.job, walk.sweeping
    assert job is not None
    assert sweeping is not None
    rows = [*wrapped(job.step.do, width, "plain", 3), (), *_digits(view, look, width)]
    if sweeping.pending:
        return [*rows, (("being worked out ...", "strong"),)]
    if view.words:
        rows += wrapped(view.words, width, "doubt", 2)
    if sweeping.takes == PUSH_PULL:
        return [*rows, *wrapped("Push home, pull out, three times; then SPACE.", width, "strong")]
    rows += _turns(view, look, sweeping, width)
    left = room - len(rows) - 3
    if left >= 4:
        plot = plot_of(view, look)
        rows += strip(plot, width, left, max(LEAST_SCALE_STEPS * view.step_mm, 1e-4))
        rows.append(axis(width, plot.head_deg, "0 mark", ascii_only=look.ascii_only))
        rows.append(turn_bar(view.missing, width, ascii_only=look.ascii_only))
    return rows


def _digits(view: View, look: DisplayOptions, width: int) -> list[Row]:
    shown = view.shown_mm
    text = DASHES if shown is None or not view.live else reading_text(shown, view.step_mm, look.unit)
    while text != DASHES and width_of(text) > width - 6 and "." in text:
        text = text[:-1]
    lines = big(text, ascii_only=look.ascii_only)
    role, last = "reading" if view.live else "doubt", len(lines) - 1
    return [((line, role), (f"  {look.unit}" if k == last else "", "strong")) for k, line in enumerate(lines)]


def _turns(view: View, look: DisplayOptions, sweeping: SweepInProgress, width: int) -> list[Row]:
    if view.broken:
        return wrapped(f"The sweep broke: {view.broken}. It begins anew.", width, "doubt", 3)
    n = len(sweeping.turns)
    if not n:
        rows: list[Row] = [(("no full turn yet", "strong"),)]
        if view.missing:
            words = f"not yet seen: {missing_words(view.missing, view.setup)}"
            rows += wrapped(words, width, "doubt", 2)
        return rows
    tir = length(sweeping.turns[-1].told.tir_raw_mm, look.unit)
    more = f", {WANTED_TURNS} are better" if n < WANTED_TURNS else ""
    return [
        ((f"{n} full turn{'s' if n > 1 else ''}{more}", "strong"), (f"   TIR {tir}", "plain")),
    ]
