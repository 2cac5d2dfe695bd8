"""Holes declared by their place alone are left out as wide as they are found; undeclared ones never are."""

import pytest
from made_sweeps import Shape, box, capture, made, sum_of, wobble

from analysis.results import SweepResult
from analysis.sweep.pipeline import analyse

WIDTH_DEG = 8.1
HOLES = [10.0 + 60.0 * k for k in range(6)]


def holed(*shapes: Shape, **setup: str) -> SweepResult:
    each = shapes or [box(-0.2, deg, WIDTH_DEG) for deg in HOLES]
    sweep = made(sum_of(wobble(0.030), *each), noise_mm=0.0008, step_mm=0.001)
    return analyse(capture(sweep, 0.001, **setup))


BY_PLACE = " ".join(f"{deg + 1:g}" for deg in HOLES)


def test_holes_by_place_are_left_out_as_wide_as_they_are_found() -> None:
    result = holed(holes=BY_PLACE)
    # Edges between two readings 0.75 deg apart, one degree and two readings on either side.
    assert [window.width_deg for window in result.left_out] == pytest.approx([WIDTH_DEG + 5.0] * 6, abs=1.5)
    assert all(window.reason.startswith("declared hole, width found 8.") for window in result.left_out)


def test_beside_them_the_wobble_is_read_and_decided() -> None:
    result = holed(holes=BY_PLACE, limit="0.05 mm")
    assert result.pooled.tir_fit.value == pytest.approx(0.030, abs=0.001)
    assert result.decision is not None
    assert result.decision.state == "within"


def test_at_a_declared_hole_that_does_not_show_nothing_is_left_out_and_that_is_said() -> None:
    result = holed(wobble(0.0), holes=BY_PLACE)
    assert result.left_out == ()
    assert any("no low place was found at the declared holes" in remark for remark in result.remarks)


def test_holes_that_nobody_declared_are_read_and_nothing_is_decided() -> None:
    result = holed(limit="0.5 mm")
    assert result.left_out == ()
    assert result.decision is not None
    assert result.decision.state == "undecided"


def test_the_line_that_declares_them_does_what_it_says() -> None:
    (check,) = (check for check in holed().checks if check.name == "bumps")
    assert check.state == "refused"
    declared = check.do.split('--set "holes=')[1].rstrip('"')
    result = holed(holes=declared, limit="0.05 mm")
    assert len(result.left_out) == 6
    assert result.decision is not None
    assert result.decision.state == "within"


def test_a_hole_declared_too_narrow_is_not_believed() -> None:
    (check,) = (
        check for check in holed(holes=BY_PLACE.replace(" ", ":3 ") + ":3").checks if check.name == "bumps"
    )
    assert check.state == "refused"


def test_on_an_arbors_mark_holes_are_found_where_the_part_was_turned_to() -> None:
    turned = " ".join(f"{(deg - 25) % 360:g}" for deg in HOLES)
    result = holed(holes=turned, mark_on="arbor", index_angle="25", limit="0.05 mm")
    assert len(result.left_out) == 6
    (check,) = (check for check in result.checks if check.name == "bumps")
    assert check.state == "clear"
