"""Owner: part, seat, spindle and dirt above one another on one scale, each with its 95 % band."""

import numpy as np

from analysis.capture import Floats
from analysis.numerics import t_quantile
from analysis.separation import ErrorSource, ErrorSources
from analysis.units import format_length
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.lengths import length
from logger.live.drawing.plots import Plot, axis, height_mm, strip
from logger.live.drawing.rows import Row, cells, page, plain, wrapped
from logger.live.job.guide import JobGuide
from logger.live.pages.page_frame import bottom, head
from logger.live.state.pass_trace import BINS
from logger.live.state.view import View

LETTERS = {"part": "P", "part and seat": "P+L", "seat": "L", "spindle": "S", "dirt": "D"}
WHAT = {
    "part": "against its own axis, as found",
    "part and seat": "turned with the part",
    "seat": "what the part is located on",
    "spindle": "with arbor and cones: stayed",
    "dirt": "more than at the last mounting",
}
NOTHING = (
    "Nothing to show yet. A sweep in its own bearings tells the part; a mounting and a half turn before the "
    "cut tell seat and spindle; several mountings tell dirt. Steps (3) takes them one after the other."
)


def owner_page(
    view: View, options: DisplayOptions, guide: JobGuide, words: str, width: int, height: int
) -> list[Row]:
    """Return the page."""
    rows: list[Row] = [head(view, "5 Owner", width, options), ()]
    reader = guide.reader
    found = reader.error_sources
    if guide.job is None or found is None or not found.shares:
        reading_now = guide.job is not None and guide.wants_work
        text = (
            "The sweeps of this job are being read ..."
            if reading_now
            else reader.error_sources_problem or NOTHING
        )
        rows += [(("  ", "plain"), *one) for one in wrapped(text, width - 4, "plain")]
    else:
        rows += _shares(found, options, (reader.best_next, reader.late_gauge), width, height - 3)
    rows = [*rows[: height - 1], *[()] * max(0, height - 1 - len(rows))]
    rows.append(bottom(view, words, width))
    return page(rows, width, height)


def _shares(
    found: ErrorSources, options: DisplayOptions, said: tuple[str, str], width: int, room: int
) -> list[Row]:
    shares = found.shares[:5]
    curves = [_curve(one) for one in shares]
    # One scale for all: half of the tallest stands for every strip.
    least = max(float(np.ptp(np.concatenate([low, high]))) for low, high in curves) * 0.62
    tall = height_mm(Plot(*curves[0], None, None), least) or 0.0
    notes = _notes(found, said, f"each {length(tall, options.unit)} high", width)
    each = max(1, (room - len(notes) - 2) // len(shares))
    rows: list[Row] = []
    for one, (low, high) in zip(shares, curves, strict=True):
        rows.append(_share_row(one, options, width))
        if each > 1:
            plot = Plot(low, high, None, None, ascii_only=options.ascii_only)
            rows += [(("  ", "plain"), *line) for line in strip(plot, width - 4, each - 1, least)]
    rows.append((("  ", "plain"), *axis(width - 4, None, "0 mark", ascii_only=options.ascii_only)))
    return [*rows, *notes]


def _share_row(one: ErrorSource, options: DisplayOptions, width: int) -> Row:
    low, high = (format_length(end, options.unit).split()[0] for end in one.first.tir_first.interval())
    number = f" of mounting {one.mounting}" if one.mounting else ""
    size = format_length(one.first.tir_first.value, options.unit)
    place = f"@ {one.first.high_side.value:.0f}"
    if one.first.high_side.u < 45.0:
        sign = "+-" if options.ascii_only else "\u00b1"
        place += f" {sign}{t_quantile(0.975, one.vectors.dof) * one.first.high_side.u:.1f}"
    row: Row = (
        (f"  {LETTERS[one.name]:<4}{one.name}{number}  ", "strong"),
        (f"{size} ", "strong"),
        (f"({low} to {high}) ", "dim"),
        (f"{place} deg on the {one.frame}", "plain"),
    )
    what = f"   {WHAT[one.name]}"
    return (*row, (what, "dim")) if cells(plain(row) + what) <= width else row


def _notes(found: ErrorSources, said: tuple[str, str], scale: str, width: int) -> list[Row]:
    best_next, late_gauge = said
    lines = [f"TIR of order 1 @ high side, 95 % in brackets and as the thickness of a trace; {scale}."]
    if best_next:
        lines.append(best_next)
    missing = [one.name for one in found.shares if one.missing]
    if missing and best_next:
        lines.append(f"Those orders are left out of {' and '.join(missing)}.")
    if late_gauge:
        lines.append(late_gauge)
    if found.separation is None:
        lines.append("Seat and spindle: a mounting and a half turn before the cut would tell them.")
    rows: list[Row] = []
    for line in lines:
        rows += [(("  ", "plain"), *one) for one in wrapped(line, width - 4, "dim", 2)]
    return rows


def _curve(one: ErrorSource) -> tuple[Floats, Floats]:
    turn = np.linspace(0.0, 2.0 * np.pi, BINS, endpoint=False)
    middle, half = one.vectors.curve(turn), one.half_width_mm(turn)
    return middle - half, middle + half
