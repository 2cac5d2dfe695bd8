"""The drawings: both sweeps on one scale, the limit as a length beside the one measured, never across the curve."""

from itertools import pairwise
from pathlib import Path as File

import numpy as np
import pytest
from pages_made import practice_part, sweep, written_part
from written_sweeps import write_csv

from analysis.sweep import readings_by_degree, residuals
from logger.page.drawing import Ink, Path, Words
from logger.page.figures import _BARS, _LEFT, _TALL, _WIDE, figure, scale_of
from logger.page.part_on_page import measured_part
from logger.page.residual_figure import residual_figure, turn_by_turn_figure


def areas(shapes: tuple[object, ...], ink: Ink) -> list[Path]:
    """Return the outlines in one ink that close an area."""
    return [each for each in shapes if isinstance(each, Path) and each.closed and each.line is ink]


def tall(path: Path) -> float:
    heights = [y for _, y in path.points]
    return max(heights) - min(heights)


def test_lengths_stand_on_the_strips_own_scale() -> None:
    part = practice_part()
    seen = part.seen()
    scale = scale_of(seen)
    for one in seen:
        shapes = figure(one, scale, "mm").shapes
        (measured,), (limit,) = areas(shapes, Ink.MEASURED), areas(shapes, Ink.LIMIT)
        per_mm = _TALL / scale.strip_mm
        assert tall(measured) == pytest.approx(one.length_mm * per_mm, rel=1e-9)  # float64 alone
        assert tall(limit) == pytest.approx(0.05 * per_mm, rel=1e-9)
        # Both stand on one foot: the lowest place of the curve.
        assert max(y for _, y in measured.points) == pytest.approx(max(y for _, y in limit.points))


def test_nothing_of_the_limit_is_drawn_in_the_strip() -> None:
    (seen, *_) = practice_part().seen()
    shapes = figure(seen, scale_of([seen]), "mm").shapes
    drawn = [each for each in shapes if isinstance(each, Path) and each.line is Ink.LIMIT]
    assert drawn
    assert min(x for each in drawn for x, _ in each.points) >= _BARS[1] > _LEFT + _WIDE


def test_both_sweeps_have_one_scale_of_one_two_or_five() -> None:
    seen = practice_part().seen()
    scale = scale_of(seen)
    assert scale == scale_of(tuple(reversed(seen)))
    assert f"{scale.strip_mm:e}"[0] in "125"
    assert all(high - low <= scale.strip_mm for low, high in (one.ends_mm for one in seen))


def test_a_limit_far_beyond_the_runout_is_said_to_be_off_the_scale(tmp_path: File) -> None:
    part = measured_part(sweep(write_csv(tmp_path / "a.csv", 0.01, limit="2 mm")))
    (seen,) = part.seen()
    words = [each.text for each in figure(seen, scale_of([seen]), "mm").shapes if isinstance(each, Words)]
    assert "off this scale" in words
    assert "2.0000 mm" in words


def test_everything_stays_inside_the_drawing(tmp_path: File) -> None:
    for part in (practice_part(), written_part(tmp_path)):
        seen = part.seen()
        for one in seen:
            drawn = figure(one, scale_of(seen), "mm")
            points = [point for each in drawn.shapes if isinstance(each, Path) for point in each.points]
            assert all(-0.1 <= x <= drawn.width + 0.1 and 0.0 <= y <= drawn.height for x, y in points)


def test_the_circle_turns_against_the_clock_from_the_mark() -> None:
    (seen,) = practice_part(before=False).seen()
    shapes = figure(seen, scale_of([seen]), "mm").shapes
    at = {each.text: (each.x, each.y) for each in shapes if isinstance(each, Words) and each.x < _LEFT}
    # Seen from the indicator, 90 degrees against the clock from the top is the left side.
    assert at["0 mark"][1] < at["90"][1] < at["180"][1]
    assert at["90"][0] < at["0 mark"][0] < at["270"][0]


def test_the_band_holds_every_reading_of_its_degree(tmp_path: File) -> None:
    """Another road: a plain wobble written down without noise lies on its own cosine."""
    path = write_csv(tmp_path / "plain.csv", 0.08, 40.0, noise=0.0)
    one = sweep(path)
    low, high = readings_by_degree(one.capture, one.result)
    there = np.flatnonzero(np.isfinite(low))
    # A place on a whole degree may fall on either side of it by its last bit.
    places = np.round((there + 0.5) / 3.0) * 3.0
    expected = 0.04 * np.cos(np.radians(places - 40.0))
    assert 120 <= len(there) <= 240
    assert low[there] == pytest.approx(expected, abs=2e-6)  # six decimals are written, three of the angle
    assert high[there] == pytest.approx(expected, abs=2e-6)
    assert all(first <= second for first, second in pairwise(sorted(high[there] - low[there])))


def test_residuals_stand_where_they_were_taken() -> None:
    sweep = practice_part(before=False).after
    found = residuals(sweep.capture, sweep.result)
    t_s, off_mm = found.t_s, found.off_mm
    assert (t_s[0], bool(np.all(np.diff(t_s) >= 0.0))) == (0.0, True)
    # What is left about a curve by least squares has no mean, and spreads as the noise of its fit.
    assert abs(float(off_mm.mean())) < 2e-5
    assert float(off_mm.std()) == pytest.approx(sweep.result.pooled.noise_mm, rel=0.3)
    columns = [
        each
        for each in residual_figure("This sweep", sweep).shapes
        if isinstance(each, Path) and each.line is Ink.CURVE
    ]
    assert len(columns) > 100
    # The deepest reading is drawn at its own height of the scale that is printed, 1, 2 or 5 of a power of ten.
    middle, half = 2.0 + 19.0 / 2.0, 19.0 / 2.0
    deepest = max(abs(y - middle) for each in columns for _, y in each.points) - 0.15
    (printed,) = (
        float(each.text.removesuffix(" mm"))
        for each in residual_figure("This sweep", sweep).shapes
        if isinstance(each, Words) and each.text.startswith("+")
    )
    assert deepest * printed / half == pytest.approx(float(np.abs(off_mm).max()), rel=1e-6)


def test_each_turn_has_a_strip_of_its_own_readings() -> None:
    sweep = practice_part(before=False).after
    found = residuals(sweep.capture, sweep.result)
    drawing = turn_by_turn_figure("This sweep", sweep)
    paths = [each for each in drawing.shapes if isinstance(each, Path)]
    strips = [each for each in paths if each.closed]
    assert len(strips) == len(sweep.result.turns) == 5
    words = [each.text for each in drawing.shapes if isinstance(each, Words)]
    assert [each for each in words if each.startswith("turn ")] == [f"turn {k}" for k in range(1, 6)]
    full = float(drawing.says.split()[-3]) / 2.0
    for k, strip in enumerate(strips):
        (_, top), (_, bottom) = strip.points[0], strip.points[2]
        marks = [each for each in paths if each.line is Ink.CURVE and top <= each.points[0][1] <= bottom]
        turn = sweep.result.turns[k]
        # By time, not by what the residuals say of themselves: a reading lies between the ends of its turn.
        first = sweep.result.turns[0].start_s
        inside = (found.t_s >= turn.start_s - first - 1e-9) & (found.t_s < turn.end_s - first)
        deepest = max(abs(y - (top + bottom) / 2) for each in marks for _, y in each.points) - 0.15
        height_mm = deepest * full / ((bottom - top) / 2)
        assert height_mm == pytest.approx(float(np.abs(found.off_mm[inside]).max()), rel=1e-6)
    assert all(y <= drawing.height for each in paths for _, y in each.points)
