"""Checks of a standard as a picture: vectors round the baseline, distance by date, repeats."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from analysis.units import format_length
from logger.page.drawing import Drawing, Ink, Path, Point, Shape, Words, box, one_two_five
from logger.page.shown import shown
from logger.studies import CheckChart, CheckPoint

WIDTH, HEIGHT = 186.0, 92.0
_CLOUD = (4.0, 8.0, 76.0)
"""Left, top and side of the square with the vectors, mm."""
_BY_DATE = ((98.0, 8.0, 84.0, 32.0), (98.0, 52.0, 84.0, 32.0))
"""Left, top, width and height of the panels beside it, mm."""
_ROOM = 1.15
_MOST = 3.0
"""So many times the limit are drawn; what lies farther stands at the edge, and is said to."""
_AROUND = 72


def figure_of_checks(chart: CheckChart, part: str, unit: str) -> Drawing:
    """Return the picture; a check that is out or wide has another form, not only another tone."""
    newest = chart.points[-1]
    state = "baseline" if newest.in_baseline else "out of control" if newest.out else "in control"
    title = f"{shown(part, 40)}: {newest.sweep.started}, {state}"
    distances = [_Value(one, one.distance, chart.baseline.limit, one.out) for one in chart.points]
    repeats = [
        _Value(one, one.repeats_s_mm, one.repeats_limit_mm, one.wide)
        for one in chart.points
        if one.repeats_s_mm is not None and one.repeats_limit_mm is not None
    ]
    upper, lower = _BY_DATE
    return Drawing(
        WIDTH,
        HEIGHT,
        f"{title}: vectors of the checks, their distance by date, their repeats",
        (
            Words(_CLOUD[0], 3.4, title, 3.0, bold=True),
            *_cloud(chart, unit),
            *_by_date(
                distances,
                upper,
                "d2, squared distance from the mean; bars: its limit",
                lambda value: f"{value:.1f}",
            ),
            *_by_date(
                repeats,
                lower,
                "s of the turns within a check; bars: its limit",
                lambda mm: format_length(mm, unit),
            ),
        ),
    )


# --- the vectors ---------------------------------------------------------------------------------------


def _cloud(chart: CheckChart, unit: str) -> list[Shape]:
    """Return the vectors about the baseline's mean, 0 deg upward and angles against the clock."""
    left, top, side = _CLOUD
    mean, limit_mm = chart.baseline.mean_mm, chart.baseline.limit_mm
    farthest = max(abs(one.z_mm - mean) for one in chart.points)
    half_mm = _ROOM * min(max(limit_mm, farthest), _MOST * limit_mm)
    middle, scale = (left + side / 2, top + side / 2), side / 2 / half_mm

    def at(off_mm: complex) -> Point:
        return middle[0] - scale * off_mm.imag, middle[1] - scale * off_mm.real

    ring = tuple(
        at(limit_mm * complex(math.cos(angle), math.sin(angle)))
        for angle in (2.0 * math.pi * k / _AROUND for k in range(_AROUND))
    )
    shapes: list[Shape] = [
        box(left, top, side, side, line=Ink.DIM, width=0.15),
        *_along_the_mean(mean, half_mm, at),
        Path(ring, Ink.LIMIT, 0.4, closed=True),
        *_cross(middle, 2.0, Ink.TEXT, upright=True),
    ]
    off_scale = 0
    for one in chart.points:
        off = one.z_mm - mean
        beyond = max(abs(off.real), abs(off.imag)) / half_mm
        off_scale += beyond > 1.0
        shapes += _sign(at(off / max(1.0, beyond)), is_baseline=one.in_baseline, is_out=one.out)
    bar_mm = one_two_five(half_mm / 5.0)
    y = top + side - 2.0
    shapes += [
        Path(((left + 2.0, y), (left + 2.0 + scale * bar_mm, y)), Ink.TEXT, 0.3),
        Words(left + 2.0, y - 1.2, format_length(bar_mm, unit), 2.1),
        Words(middle[0], top - 1.0, "0 deg", 2.1, "middle", Ink.DIM),
        Words(
            left,
            top + side + 3.2,
            "+ mean of the baseline; the ring is the limit. 90 deg is to the left.",
            2.1,
        ),
        *_legend(left, top + side + 6.6),
    ]
    if off_scale:
        words = f"{off_scale} off this scale, at the edge"
        shapes.append(Words(left + side - 1.0, y, words, 2.1, "end"))
    return shapes


def _along_the_mean(mean: complex, half_mm: float, at: Callable[[complex], Point]) -> list[Shape]:
    """Return the line on which the size alone changes; across it the side does."""
    if not mean:
        return []
    to_edge = half_mm / max(abs(mean.real), abs(mean.imag)) * mean
    x, y = at(to_edge * 0.86)
    return [
        Path((at(-to_edge), at(to_edge)), Ink.DIM, 0.15, dashes=(0.8, 0.8)),
        Words(x + 1.2, y + 1.0, "larger", 2.1, "start", Ink.DIM),
    ]


def _legend(x: float, y: float) -> list[Shape]:
    shapes: list[Shape] = []
    for wide, words, baseline, out in ((16.0, "baseline", True, False), (14.0, "later", False, False),
                                       (10.0, "over its limit", False, True)):  # fmt: skip
        shapes += _sign((x + 1.0, y - 0.8), is_baseline=baseline, is_out=out)
        shapes.append(Words(x + 3.2, y, words, 2.1))
        x += wide
    return shapes


def _sign(place: Point, *, is_baseline: bool, is_out: bool) -> list[Shape]:
    """Return an empty square of the baseline, a full one of a later check, a cross over its limit."""
    x, y = place
    if is_out:
        return _cross(place, 1.2, Ink.LIMIT, upright=False)
    area = Ink.PAPER if is_baseline else Ink.CURVE
    return [box(x - 0.6, y - 0.6, 1.2, 1.2, Ink.CURVE, 0.2, area)]


def _cross(place: Point, size: float, ink: Ink, *, upright: bool) -> list[Shape]:
    x, y = place
    arms = ((size, 0.0), (0.0, size)) if upright else ((size, size), (size, -size))
    return [Path(((x - dx, y - dy), (x + dx, y + dy)), ink, 0.45) for dx, dy in arms]


# --- by date -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Value:
    """What one check has, and its limit."""

    check: CheckPoint
    value: float
    limit: float
    is_out: bool


def _by_date(
    values: Sequence[_Value],
    place: tuple[float, float, float, float],
    title: str,
    written: Callable[[float], str],
) -> list[Shape]:
    """Return values against the day they were measured, each under or over the bar of its limit."""
    left, top, wide, tall = place
    shapes: list[Shape] = [
        Words(left, top - 1.6, title, 2.3, bold=True),
        box(left, top, wide, tall, line=Ink.DIM, width=0.15),
    ]
    if not values:
        words = "no check and baseline with two turns or more"
        return [*shapes, Words(left + wide / 2, top + tall / 2, words, 2.1, "middle")]
    limit = max(one.limit for one in values)
    full = _ROOM * min(max(limit, *(one.value for one in values)), _MOST * limit)
    times = [datetime.fromisoformat(one.check.sweep.started) for one in values]
    first, last = min(times), max(times)
    span_s = (last - first).total_seconds() or 1.0

    def y(value: float) -> float:
        return top + tall * (1.0 - min(value / full, 1.0))

    for one, time in zip(values, times, strict=True):
        x = left + 3.0 + (wide - 6.0) * (time - first).total_seconds() / span_s
        shapes.append(Path(((x - 1.2, y(one.limit)), (x + 1.2, y(one.limit))), Ink.LIMIT, 0.35))
        shapes += _sign((x, y(one.value)), is_baseline=one.check.in_baseline, is_out=one.is_out)
    shapes += [
        Words(left - 1.2, y(limit) + 0.7, written(limit), 2.1, "end"),
        Words(left - 1.2, y(0.0), "0", 2.1, "end"),
        Words(left, top + tall + 3.2, f"{first:%Y-%m-%d}", 2.1, "start", Ink.DIM),
        Words(left + wide, top + tall + 3.2, f"{last:%Y-%m-%d}", 2.1, "end", Ink.DIM),
    ]
    off_scale = sum(one.value > full for one in values)
    if off_scale:
        words = f"{off_scale} off this scale, at the edge"
        shapes.append(Words(left + wide / 2, top + tall + 3.2, words, 2.1, "middle"))
    return shapes
