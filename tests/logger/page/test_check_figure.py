"""The picture of a check standard: its limit to scale in every direction, and what lies over it by form."""

import cmath
import math
from xml.etree import ElementTree

import pytest
from made_histories import BASELINE

from analysis.measurands import CheckBaseline, CheckRepeats
from analysis.store import StoredSweep
from logger.page import Style, figure_of_checks, made_drawing
from logger.page.check_figure import _BY_DATE, _CLOUD
from logger.page.drawing import Drawing, Ink, Path, Words
from logger.studies import CheckChart, CheckPoint

MEAN = sum(BASELINE) / len(BASELINE)
S_MM = math.sqrt(sum(abs(z - MEAN) ** 2 for z in BASELINE) / 22)
LIMITS = CheckBaseline(MEAN, S_MM, 12)


def point(day: int, z_mm: complex, repeats: tuple[float, float] | None = None, month: int = 2) -> CheckPoint:
    started = f"2026-{month:02d}-{day:02d}T08:12:00Z"
    sweep = StoredSweep(
        recording_id=f"ring-{month}-{day}", file="", sha256=None, started=started, part="check ring",
        serial="", job="", stage="check standard", operator=None, ended="closed", gauge=None, gauge_id=None,
        gauge_due=None, setup={}, edition=0, state=None, numerics=1, code_version="0.1.0", result=None,
        result_sha256=None,
    )  # fmt: skip
    distance = LIMITS.distance(z_mm)
    of_baseline = month == 1
    return CheckPoint(sweep, z_mm, distance, not of_baseline and distance > LIMITS.limit, of_baseline,
                      *(repeats or (None, None)))  # fmt: skip


def drawn(*later: CheckPoint) -> Drawing:
    baseline = [point(day, z, (0.0002, 0.0003), month=1) for day, z in enumerate(BASELINE, 1)]
    return figure_of_checks(
        CheckChart(LIMITS, (*baseline, *later), (), CheckRepeats(0.0002, 48)), "check ring", "mm"
    )


def inside(place: tuple[float, ...], shapes: list[Path]) -> list[Path]:
    left, top, wide, tall = (
        place[0] - 1.3,
        place[1] - 1.3,
        place[2] + 2.6,
        place[3] + 2.6,
    )  # a cross at the edge
    return [
        one
        for one in shapes
        if all(left <= x <= left + wide and top <= y <= top + tall for x, y in one.points)
    ]


def middle(path: Path) -> complex:
    xs, ys = [x for x, _ in path.points], [y for _, y in path.points]
    return complex((max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2)


def paths(drawing: Drawing) -> list[Path]:
    return [one for one in drawing.shapes if isinstance(one, Path)]


CLOUD = (*_CLOUD, _CLOUD[2])


def test_a_check_on_the_ring_is_at_its_limit_whatever_its_side() -> None:
    for side_deg in (0.0, 70.0, 200.0):
        # The largest vector that the rule takes: found by halving on its own distance, not on the ring's.
        low, high = 0.0, 1.0
        for _ in range(60):
            half = (low + high) / 2
            z = MEAN + cmath.rect(half, math.radians(side_deg))
            low, high = (half, high) if LIMITS.distance(z) <= LIMITS.limit else (low, half)
        drawing = drawn(point(1, MEAN + cmath.rect(low, math.radians(side_deg))))
        (ring,) = [one for one in paths(drawing) if one.line is Ink.LIMIT and one.closed]
        centre, radius = middle(ring), max(abs(complex(*one) - middle(ring)) for one in ring.points)
        (later,) = [one for one in inside(CLOUD, paths(drawing)) if one.area is Ink.CURVE]
        away = middle(later) - centre
        assert abs(away) == pytest.approx(radius, rel=1e-6)
        # 0 deg upward (y grows downward), counted against the clock.
        assert away == pytest.approx(radius * complex(-math.sin(math.radians(side_deg)),
                                                      -math.cos(math.radians(side_deg))))  # fmt: skip


def crosses(place: tuple[float, ...], drawing: Drawing) -> int:
    """Count crosses in a place: two lines aslant each."""
    aslant = [one for one in inside(place, paths(drawing)) if one.line is Ink.LIMIT and len(one.points) == 2
              and one.points[0][0] != one.points[1][0] and one.points[0][1] != one.points[1][1]]  # fmt: skip
    return len(aslant) // 2


def test_what_is_over_a_limit_is_a_cross_where_it_is_over() -> None:
    turned = MEAN * cmath.exp(0.3j)
    upper, lower = _BY_DATE
    for check, out, wide in (
        (point(1, BASELINE[2], (0.0002, 0.0003)), 0, 0),
        (point(1, turned, (0.0002, 0.0003)), 1, 0),
        (point(1, BASELINE[2], (0.0004, 0.0003)), 0, 1),
    ):
        drawing = drawn(check)
        assert [crosses(place, drawing) for place in (CLOUD, upper, lower)] == [out, out, wide]


def test_all_stands_inside_and_what_is_far_off_is_said_to_be() -> None:
    drawing = drawn(point(1, MEAN + 1.0), point(2, MEAN - 0.0001j, (0.5, 0.0003)))
    points = [each for one in paths(drawing) for each in one.points]
    assert all(0.0 <= x <= drawing.width and 0.0 <= y <= drawing.height for x, y in points)
    words = [one.text for one in drawing.shapes if isinstance(one, Words)]
    assert words.count("1 off this scale, at the edge") == 3


def test_without_turns_the_repeats_say_so_and_a_file_is_whole() -> None:
    chart = CheckChart(LIMITS, (point(1, MEAN + 0.0001),), ())
    drawing = figure_of_checks(chart, "<ring> & co", "mm")
    assert "no check and baseline with two turns or more" in [
        one.text for one in drawing.shapes if isinstance(one, Words)
    ]
    for grey in (False, True):
        root = ElementTree.fromstring(made_drawing(drawing, Style(grey=grey), ".svg"))
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        assert any((one.text or "").startswith("<ring> & co") for one in root.iter())
        assert made_drawing(drawing, Style(grey=grey), ".pdf").startswith(b"%PDF")
