"""What one sweep looks like: the turn as a circle, unrolled as a strip, and its length beside the limit's.

Both sweeps of a page are drawn on one scale. The length measured and the limit stand upright side by side on
the strip's own scale: a limit is a length and no place, so no line of it crosses the curve.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.capture import Floats
from analysis.results import SweepResult
from analysis.setup import DeclaredEnd, MarkSide
from analysis.sweep import readings_by_degree
from analysis.units import format_length
from logger.inputs import AnalysedSweep
from logger.page.drawing import Drawing, Ink, Path, Point, Shape, Words, box, hatching, one_two_five
from logger.page.shown import shown
from logger.reports.phrases import QUANTITY_WORDS

WIDTH, HEIGHT = 186.0, 35.5
_TOP, _TALL = 4.2, 24.5
"""Of the strip, mm; so are the next."""
_LEFT, _WIDE = 48.0, 96.0
_BARS = (156.0, 172.0)
_BAR_WIDE = 6.0
_CENTRE: Point = (22.0, 18.2)
_RADIUS = 9.6
_DEEPEST = 0.45
"""The largest deviation is drawn as this share of the circle's radius."""
_ROOM = 1.25
"""Of the strip over the curve: its ends are named above and below it."""
_Place = Callable[[float, float], Point]
_LIMIT_OFF_SCALE = 8.0
"""A limit so many times what was measured is not drawn to scale: the curve would be a straight line."""


@dataclass(frozen=True)
class Seen:
    """What of one sweep is drawn; heights in mm about the mean of its curve."""

    title: str
    result: SweepResult
    low_mm: Floats
    """Lowest reading in each degree, shape (360,)."""
    high_mm: Floats

    @staticmethod
    def of(title: str, sweep: AnalysedSweep) -> "Seen":
        """Return it of an analysed sweep."""
        return Seen(title, sweep.result, *readings_by_degree(sweep.capture, sweep.result))

    @property
    def ends_mm(self) -> tuple[float, float]:
        """Lowest and highest of all that is drawn."""
        curve = () if self.result.few_places else (self.result.curve_mm,)
        every = np.concatenate([self.low_mm, self.high_mm, *curve])
        return float(np.nanmin(every)), float(np.nanmax(every))

    @property
    def limit_mm(self) -> float | None:
        """The limit it is held against, at the track."""
        return self.result.decision.limit_mm if self.result.decision else None

    @property
    def length_mm(self) -> float:
        """What is held against it; the TIR where nothing is."""
        return self.result.decision.number.value if self.result.decision else self.result.answer_tir_mm


@dataclass(frozen=True, slots=True)
class Scale:
    """What all drawings of a page share."""

    strip_mm: float
    """Length of the part that the strip's full height stands for."""
    exaggerated: float
    """Drawn millimetres for one of the part, in the circle."""
    limit_fits: bool


def scale_of(seen: Sequence[Seen]) -> Scale:
    """Return the smallest scale of 1, 2 or 5 that holds every sweep, and the limit where it can."""
    spans = [high - low for low, high in (one.ends_mm for one in seen)]
    deepest = max(max(abs(end) for end in one.ends_mm) for one in seen) or 1e-4
    largest = max(*spans, 1e-4)
    limits = [one.limit_mm for one in seen if one.limit_mm is not None]
    fits = all(limit <= _LIMIT_OFF_SCALE * largest for limit in limits)
    # The limit's length stands on the lowest place of the curve, which lies anywhere in the strip.
    wanted = max([_ROOM * largest, *(_ROOM * limit for limit in limits if fits)])
    return Scale(one_two_five(wanted), _DEEPEST * _RADIUS / deepest, fits)


def figure(seen: Seen, scale: Scale, unit: str) -> Drawing:
    """Return the drawing of one sweep."""
    state = f"{_length_words(seen, unit)} {_quantity(seen)}"
    return Drawing(
        WIDTH,
        HEIGHT,
        f"{seen.title}: strip, circle and length of the sweep, {state}",
        (
            Words(_LEFT, 2.9, seen.title, 2.9, bold=True),
            *_circle(seen, scale),
            *_strip(seen, scale),
            *_lengths(seen, scale, unit),
        ),
    )


# --- the strip -----------------------------------------------------------------------------------------


def _middle_mm(seen: Seen, scale: Scale) -> float:
    """Return the height that stands in the middle of the strip: lower where the limit needs room above."""
    low, high = seen.ends_mm
    top = high
    if seen.limit_mm is not None and scale.limit_fits:
        top = max(high, _lowest_mm(seen) + seen.limit_mm)
    return (low + top) / 2.0


def _lowest_mm(seen: Seen) -> float:
    result = seen.result
    return float(np.nanmin(seen.low_mm)) if result.few_places else float(result.curve_mm.min())


def _strip(seen: Seen, scale: Scale) -> list[Shape]:
    middle = _middle_mm(seen, scale)

    def at(deg: float, mm: float) -> Point:
        return (
            _LEFT + _WIDE * deg / 360.0,
            _TOP + _TALL * (0.5 - (mm - middle) / scale.strip_mm),
        )

    shapes: list[Shape] = [box(_LEFT, _TOP, _WIDE, _TALL, line=Ink.DIM, width=0.15)]
    shapes += _left_out(seen.result)
    for deg in range(0, 361, 90):
        x = _LEFT + _WIDE * deg / 360.0
        if 0 < deg < 360:
            shapes.append(Path(((x, _TOP), (x, _TOP + _TALL)), Ink.DIM, 0.1, dashes=(0.5, 0.8)))
        shapes.append(Words(x, _TOP + _TALL + 4.7, str(deg), 2.1, "middle", Ink.DIM))
    shapes += _holes(seen.result)
    shapes += _band(seen, at)
    result = seen.result
    if not result.few_places:
        around = zip(result.curve_deg[::5], result.curve_mm[::5], strict=True)
        line = (*(at(deg, mm) for deg, mm in around), at(360.0, float(result.curve_mm[0])))
        shapes.append(Path(line, Ink.CURVE, 0.35))
    return shapes + _ends(seen, at)


def _left_out(result: SweepResult) -> list[Shape]:
    """Return the windows that were left out, hatched; one that runs over the mark in two pieces."""
    shapes: list[Shape] = []
    for window in result.left_out:
        start, end = window.start_deg % 360.0, window.start_deg % 360.0 + window.width_deg
        pieces = [(start, min(end, 360.0))] + ([(0.0, end - 360.0)] if end > 360.0 else [])
        for first, last in pieces:
            x, wide = _LEFT + _WIDE * first / 360.0, _WIDE * (last - first) / 360.0
            shapes += hatching(x, _TOP, wide, _TALL, Ink.DIM)
    return shapes


def _holes(result: SweepResult) -> list[Shape]:
    """Return a ring at every declared hole, numbered while there is room."""
    setup = result.setup
    if setup.mark_on is not MarkSide.PART:
        return []
    shapes: list[Shape] = []
    y = _TOP + _TALL + 1.3
    for number, hole in enumerate(setup.holes, 1):
        x = _LEFT + _WIDE * (hole.deg % 360.0) / 360.0
        ring = tuple(
            (x + 0.6 * math.cos(k * math.pi / 6), y + 0.6 * math.sin(k * math.pi / 6)) for k in range(12)
        )
        shapes.append(Path(ring, Ink.TEXT, 0.15, closed=True))
        if len(setup.holes) <= 24:
            shapes.append(Words(x + 0.9, y + 0.8, str(number), 1.7))
    return shapes


def _band(seen: Seen, at: _Place) -> list[Shape]:
    """Return the readings: an area from the lowest to the highest of each degree, or each by itself."""
    there = np.flatnonzero(np.isfinite(seen.low_mm))
    if seen.result.few_places or len(there) < 90:
        ends = ((float(deg), {seen.low_mm[deg], seen.high_mm[deg]}) for deg in there)
        return [_spot(at(deg, float(height))) for deg, heights in ends for height in sorted(heights)]
    shapes: list[Shape] = []
    for run in np.split(there, np.flatnonzero(np.diff(there) > 2) + 1):
        upper = [at(deg + 0.5, seen.high_mm[deg]) for deg in run]
        lower = [at(deg + 0.5, seen.low_mm[deg]) for deg in reversed(run)]
        shapes.append(Path((*upper, *lower), Ink.BAND, 0.25, Ink.BAND, closed=True))
    return shapes


def _spot(place: Point) -> Path:
    """Return a reading by itself."""
    return box(place[0] - 0.6, place[1] - 0.6, 1.2, 1.2, Ink.CURVE, 0.1, Ink.CURVE)


def _ends(seen: Seen, at: _Place) -> list[Shape]:
    """Return high and low point, named with their angle."""
    pooled = seen.result.pooled
    low, high = pooled.high_point.interval()
    if high - low >= 180.0:
        return []
    shapes: list[Shape] = []
    heights = (seen.high_mm, seen.low_mm) if seen.result.few_places else (seen.result.curve_mm,) * 2
    for name, deg, mm, up in (
        ("high", pooled.high_point.value % 360.0, float(np.nanmax(heights[0])), -1.0),
        ("low", pooled.low_point_deg % 360.0, float(np.nanmin(heights[1])), 1.0),
    ):
        x, y = at(deg, mm)
        peak = ((x, y), (x - 0.9, y + up * 1.7), (x + 0.9, y + up * 1.7))
        shapes.append(Path(peak, None, 0.0, Ink.TEXT, closed=True))
        beside = x + 1.6 if x < _LEFT + _WIDE - 16.0 else x - 1.6
        anchor = "start" if beside > x else "end"
        y_text = min(_TOP + _TALL - 0.8, max(_TOP + 2.2, y + (2.6 if up > 0 else -1.0)))
        shapes.append(Words(beside, y_text, f"{name} {round(deg) % 360} deg", 2.2, anchor))
    return shapes


# --- the lengths ---------------------------------------------------------------------------------------


def _quantity(seen: Seen) -> str:
    return QUANTITY_WORDS[seen.result.decision.quantity] if seen.result.decision else "TIR"


def _lengths(seen: Seen, scale: Scale, unit: str) -> list[Shape]:
    """Return the length measured and the limit's, upright on the strip's own scale, from the lowest place."""
    middle, lowest = _middle_mm(seen, scale), _lowest_mm(seen)

    def y_of(mm: float) -> float:
        return _TOP + _TALL * (0.5 - (mm - middle) / scale.strip_mm)

    foot, top = y_of(lowest), y_of(lowest + seen.length_mm)
    measured, limit = _BARS
    right = _LEFT + _WIDE
    shapes: list[Shape] = [
        Path(((right, y), (measured, y)), Ink.DIM, 0.12, dashes=(0.6, 0.6)) for y in (foot, top)
    ]
    shapes.append(box(measured, top, _BAR_WIDE, foot - top, line=Ink.MEASURED, area=Ink.MEASURED))
    under = _TOP + _TALL + 2.2
    shapes += _named(measured, under, _quantity(seen), _length_words(seen, unit))
    if seen.limit_mm is None:
        words = "no limit" if not seen.result.why_no_decision else "not held"
        more = "entered" if not seen.result.why_no_decision else "against one"
        return [*shapes, *_named(limit, under, words, more)]
    shapes += _named(limit, under, "limit", format_length(seen.limit_mm, unit))
    if not scale.limit_fits:
        return [*shapes, Words(limit + _BAR_WIDE / 2, foot - 2.0, "off this scale", 2.0, "middle")]
    high = y_of(lowest + seen.limit_mm)
    shapes += hatching(limit, high, _BAR_WIDE, foot - high, Ink.LIMIT)
    shapes.append(box(limit, high, _BAR_WIDE, foot - high, line=Ink.LIMIT, width=0.35))
    return shapes


def _length_words(seen: Seen, unit: str) -> str:
    """Return the length measured, or what it is at most where nothing stands out of the noise."""
    low, high = seen.result.pooled.tir_fit.interval()
    if seen.result.decision is None and low <= 0.0 and not seen.result.few_places:
        return f"\u2264 {format_length(high, unit)}"
    return format_length(seen.length_mm, unit)


def _named(x: float, y: float, name: str, value: str) -> list[Shape]:
    middle = x + _BAR_WIDE / 2
    return [
        Words(middle, y, shown(name, 16), 2.1, "middle"),
        Words(middle, y + 2.7, value, 2.1, "middle", bold=True),
    ]


# --- the circle ----------------------------------------------------------------------------------------


def _circle(seen: Seen, scale: Scale) -> list[Shape]:
    """Return the turn as it lies round the part, 0 at the top, counted as the page says in words."""
    result = seen.result
    sense = -1.0 if result.setup.declared_end is DeclaredEnd.GAUGE else 1.0

    def at(deg: float, radius: float) -> Point:
        angle = math.radians(sense * deg)
        return _CENTRE[0] + radius * math.sin(angle), _CENTRE[1] - radius * math.cos(angle)

    plain = tuple(at(deg, _RADIUS) for deg in range(0, 360, 5))
    shapes: list[Shape] = [Path(plain, Ink.DIM, 0.12, closed=True, dashes=(0.8, 0.6))]
    for deg, words in ((0, "0 mark"), (90, "90"), (180, "180"), (270, "270")):
        inner, outer = at(deg, _RADIUS - 0.8), at(deg, _RADIUS + 0.8)
        shapes.append(Path((inner, outer), Ink.TEXT, 0.2))
        x, y = at(deg, _RADIUS * (1.0 + _DEEPEST) + 1.7)
        shapes.append(Words(x, y + 0.8, words, 2.1, "middle", Ink.DIM))
    if not result.few_places:
        around = zip(result.curve_deg[::5], result.curve_mm[::5], strict=True)
        ring = tuple(at(deg, _RADIUS + scale.exaggerated * mm) for deg, mm in around)
        shapes.append(Path(ring, Ink.CURVE, 0.4, closed=True))
    else:
        for read in np.flatnonzero(np.isfinite(seen.high_mm)):
            height = _RADIUS + scale.exaggerated * float(seen.high_mm[read])
            shapes.append(_spot(at(float(read), height)))
    low, high = result.pooled.high_point.interval()
    if high - low < 180.0:
        top = result.pooled.high_point.value
        lift = float(np.nanmax(seen.high_mm if result.few_places else result.curve_mm))
        tip = _RADIUS + scale.exaggerated * lift
        peak = (at(top, tip), at(top - 5.0, tip + 2.0), at(top + 5.0, tip + 2.0))
        shapes.append(Path(peak, None, 0.0, Ink.TEXT, closed=True))
    return shapes
