"""The unrolled strip, the turn bar and the round view, on our own canvas."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.capture import Floats
from logger.live.drawing.braille_canvas import ACROSS, HIGH, Canvas
from logger.live.drawing.rows import Row, Span
from logger.live.state.pass_trace import BINS

_STEPS = (1.0, 1.5, 2.0, 3.0, 5.0, 7.5)


@dataclass(frozen=True)
class Tick:
    """A word on the strip: at which angle, at the top or the bottom edge."""

    deg: float
    text: str
    role: str
    top: bool = True


@dataclass(frozen=True)
class Plot:
    """What is drawn; lengths in mm as shown (zero already taken off)."""

    low_mm: Floats
    high_mm: Floats
    head_deg: float | None
    limits_mm: tuple[float, float] | None
    """Lower and upper limit line; None without a limit."""
    limit_words: tuple[str, str] = ("", "")
    ticks: Sequence[Tick] = ()
    holes_deg: Sequence[float] = ()
    thick: bool = False
    ascii_only: bool = False


def scale_of(low: float, high: float, least_mm: float) -> tuple[float, float]:
    """Return (middle, half height) of an axis that holds low to high with room; it seldom changes."""
    middle, half = 0.5 * (low + high), max(0.62 * (high - low), least_mm)
    power = 10.0 ** math.floor(math.log10(half))
    size = next((step * power for step in _STEPS if step * power >= half), 10.0 * power)
    grid = size / 4.0
    return round(middle / grid) * grid, size


def strip(plot: Plot, width: int, height: int, least_mm: float) -> list[Row]:
    """Return the strip: reading against part angle, 0 at the left, 360 at the right."""
    canvas = Canvas(width, height)
    met = np.isfinite(plot.low_mm)
    if met.any():
        middle, half = _scale(plot, least_mm)
        edge = HIGH if height > 3 else 0  # the words at both edges have a row of their own
        lines = height * HIGH - 2 * edge

        def y_of(mm: Floats) -> Floats:
            return np.asarray(edge + (0.5 - (mm - middle) / (2.0 * half)) * (lines - 1))

        columns = _columns(plot.low_mm, plot.high_mm, width * ACROSS)
        top, bottom = y_of(columns[1]), y_of(columns[0])
        canvas.columns(*_connected(top, bottom))
        if plot.thick:
            canvas.thicken()
        _limit_lines(canvas, plot, y_of, height)
    for hole in plot.holes_deg:
        canvas.behind(int(hole / 360.0 * width), height - 1, "." if plot.ascii_only else "○", "dim")
    for tick in plot.ticks:
        x = min(int(tick.deg % 360.0 / 360.0 * width), width - 1)
        text = ("v " if plot.ascii_only else "▼ ") if tick.top else ("^ " if plot.ascii_only else "▲ ")
        text += tick.text
        if x + len(text) > width:
            x, text = max(0, x - len(text) + 1), f"{text[2:]} {text[0]}"
        canvas.behind(x, 0 if tick.top else height - 1, text, tick.role)
    return canvas.rows(ascii_only=plot.ascii_only)


def _limit_lines(canvas: Canvas, plot: Plot, y_of, height: int) -> None:  # type: ignore[no-untyped-def]
    if plot.limits_mm is None:
        return
    dash = "-" if plot.ascii_only else "╌"
    for mm, words in zip(plot.limits_mm, plot.limit_words, strict=True):
        y = int(float(y_of(np.array(mm))) // HIGH)
        if 0 <= y < height:
            canvas.behind(0, y, dash * canvas.width, "limit")
            canvas.behind(_free_place(canvas, y, len(words)), y, words, "limit")


def _free_place(canvas: Canvas, y: int, size: int) -> int:
    """Return where a word of so many cells is not covered by the trace: far right if it can be."""
    met = np.asarray(canvas.points[y * HIGH : (y + 1) * HIGH].any(axis=0))
    right = max(0, canvas.width - size - 2)
    for x in range(right, 0, -1):
        if not met[x * ACROSS : (x + size) * ACROSS].any():
            return x
    return right


def _columns(low: Floats, high: Floats, count: int) -> tuple[Floats, Floats]:
    """Return lowest and highest of the bins in each column of points, NaN where there are none."""
    edges = np.arange(count + 1) * BINS // count
    index = np.minimum(edges[:-1], BINS - 1)
    filled_low, filled_high = np.where(np.isnan(low), np.inf, low), np.where(np.isnan(high), -np.inf, high)
    lows, highs = np.minimum.reduceat(filled_low, index), np.maximum.reduceat(filled_high, index)
    return np.where(np.isinf(lows), np.nan, lows), np.where(np.isinf(highs), np.nan, highs)


def _connected(top: Floats, bottom: Floats) -> tuple[Floats, Floats]:
    """Let every column reach half-way to its neighbours, so that a steep trace has no holes."""
    middle = 0.5 * (top + bottom)
    for shift in (1, -1):
        half = 0.5 * (middle + np.roll(middle, shift))
        half[0 if shift == 1 else -1] = np.nan
        top, bottom = np.fmin(top, half), np.fmax(bottom, half)
    gone = np.isnan(middle)
    top[gone] = bottom[gone] = np.nan
    return top, bottom


def overlay(before_mm: Floats, after_mm: Floats, width: int, height: int, *, ascii_only: bool) -> list[Row]:
    """Return two curves on one scale: the one before as dots behind, the one after as the trace."""
    middle, half = _scale_of_both(before_mm, after_mm)
    canvas = Canvas(width, height)

    def y_of(mm: Floats) -> Floats:
        return np.asarray((0.5 - (mm - middle) / (2.0 * half)) * (height * HIGH - 1))

    lows, highs = _columns(after_mm, after_mm, width * ACROSS)
    canvas.columns(*_connected(y_of(highs), y_of(lows)))
    cells_low, cells_high = _columns(before_mm, before_mm, width)
    for x, mm in enumerate((0.5 * (cells_low + cells_high)).tolist()):
        canvas.behind(x, int(float(y_of(np.array(mm))) // HIGH), "o" if ascii_only else "•", "other")
    return canvas.rows(ascii_only=ascii_only)


def overlay_height_mm(before_mm: Floats, after_mm: Floats) -> float:
    """Return how much an overlay is from bottom to top."""
    return 2.0 * _scale_of_both(before_mm, after_mm)[1]


def _scale_of_both(before_mm: Floats, after_mm: Floats) -> tuple[float, float]:
    low = float(min(before_mm.min(), after_mm.min()))
    return scale_of(low, float(max(before_mm.max(), after_mm.max())), 1e-4)


def height_mm(plot: Plot, least_mm: float) -> float | None:
    """Return how much the strip is from bottom to top; None while it is empty."""
    met = np.isfinite(plot.low_mm)
    return 2.0 * _scale(plot, least_mm)[1] if met.any() else None


def _scale(plot: Plot, least_mm: float) -> tuple[float, float]:
    low, high = float(np.nanmin(plot.low_mm)), float(np.nanmax(plot.high_mm))
    if plot.limits_mm is not None and plot.limits_mm[1] - plot.limits_mm[0] < 6.0 * (high - low):
        low, high = min(low, plot.limits_mm[0]), max(high, plot.limits_mm[1])
    return scale_of(low, high, least_mm)


def axis(width: int, head_deg: float | None, mark: str, *, ascii_only: bool, note: str = "") -> Row:
    """Return the row under the strip: angles, a tick where the tip is, and a note at its right end."""
    cells: list[Span] = [(" ", "dim")] * width
    tick = None if head_deg is None else min(width - 1, int(head_deg / 360.0 * width))
    for deg, text in ((0, mark), (90, "90"), (180, "180"), (270, "270")):
        x = min(width - len(text), max(0, round(deg / 360 * width) - (len(text) // 2 if deg else 0)))
        if deg and tick is not None and x <= tick < x + len(text):
            continue  # half a number would be another number
        for k, character in enumerate(text):
            cells[x + k] = (character, "dim")
    for k, character in enumerate(note):
        cells[width - len(note) + k] = (character, "dim")
    if tick is not None:
        cells[tick] = ("^" if ascii_only else "▲", "mark")
    return tuple(cells)


def turn_bar(missing: Sequence[tuple[float, float]], width: int, *, ascii_only: bool) -> Row:
    """Return one line that shows which places of the turn have been seen."""
    seen = np.ones(width, bool)
    centres = (np.arange(width) + 0.5) * 360.0 / width
    for start, end in missing:
        seen &= np.mod(centres - start, 360.0) >= ((end - start) % 360.0 or 360.0)
    full, empty = ("=", ".") if ascii_only else ("━", "┈")
    return tuple((full if one else empty, "trace" if one else "doubt") for one in seen.tolist())


def round_view(plot: Plot, width: int, height: int, least_mm: float, direction: int = 1) -> list[Row]:
    """Return the part seen from the declared end, its mark on top, the reading outward, much enlarged."""
    canvas = Canvas(width, height)
    radius = min(width * ACROSS, height * HIGH) / 2.0 - 1.0
    cx, cy = (width * ACROSS - 1) / 2.0, (height * HIGH - 1) / 2.0
    base = 0.68 * radius

    def xy(deg: Floats | float, r: Floats | float) -> tuple[Floats, Floats]:
        # Angles grow as the part turns clockwise under the tip: on the part itself they run the other way.
        a = -np.radians(np.asarray(deg, np.float64))
        return np.asarray(cx + r * np.sin(a)), np.asarray(cy - r * np.cos(a))

    deg: Floats = np.arange(BINS, dtype=np.float64) * (360.0 / BINS)
    met = np.isfinite(plot.low_mm)
    if met.any():
        middle, half = scale_of(float(np.nanmin(plot.low_mm)), float(np.nanmax(plot.high_mm)), least_mm)
        mean = 0.5 * (plot.low_mm + plot.high_mm)
        r: Floats = base + (mean - middle) / half * 0.28 * radius
        canvas.dots(*xy(deg, r))
        if plot.thick:
            canvas.thicken()
    dot = "." if plot.ascii_only else "·"
    for around in np.arange(0.0, 360.0, 6.0):
        _put(canvas, *xy(float(around), base), dot, "dim")
    for k, hole in enumerate(plot.holes_deg):
        _put(canvas, *xy(float(hole), 0.36 * radius), str(k + 1), "dim")
    for tick in plot.ticks:
        if tick.top:
            _put(canvas, *xy(tick.deg, 0.99 * radius), tick.text[:1].upper(), tick.role)
    _put(canvas, *xy(0.0, 0.99 * radius), "0", "mark")
    if plot.head_deg is not None:
        _put(canvas, *xy(plot.head_deg, 0.5 * radius), "x" if plot.ascii_only else "◆", "mark")
    return canvas.rows(ascii_only=plot.ascii_only)


def _put(canvas: Canvas, x: Floats, y: Floats, text: str, role: str) -> None:
    canvas.behind(round(float(x)) // ACROSS, round(float(y)) // HIGH, text, role)
