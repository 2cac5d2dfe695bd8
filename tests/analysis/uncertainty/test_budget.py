"""The budget: each line in closed form, and how lines join."""

import math

import numpy as np
import pytest
from made_sweeps import capture, made, wobble

from analysis.numerics import Component
from analysis.results import SweepResult
from analysis.sweep.pipeline import Options, analyse
from analysis.uncertainty.budget import other_lines, together_mm


def lines(**changed: float) -> dict[str, float]:
    asked: dict[str, float | None] = {
        "tir_mm": 0.1, "resolution_mm": 0.001, "values": 100, "closure_mm": None, "gauge_angle_deg": 0.0,
    }  # fmt: skip
    asked.update(changed)
    return {name: line.u for name, line in other_lines(**asked).items()}  # type: ignore[arg-type]


def test_resolution_is_a_rectangle_over_the_root_of_the_values() -> None:
    assert lines()["resolution"] == pytest.approx(0.001 / math.sqrt(12 * 100), rel=1e-12)


def test_closure_is_half_a_drift_spread_evenly() -> None:
    """A drift C over the turn: rectangle of half-width C / 2, so C / (2 sqrt 3) (closed form)."""
    assert lines(closure_mm=-0.006)["closure"] == pytest.approx(0.006 / (2 * math.sqrt(3)), rel=1e-12)


def test_without_a_closure_there_is_no_such_line() -> None:
    assert "closure" not in lines()


def test_a_plunger_set_square_by_eye_reads_over_by_the_cosine_of_three_degrees() -> None:
    """Three degrees by eye (common practice, no source), the change taken as rectangular."""
    assert lines()["cosine"] == pytest.approx(0.1 * (1 - math.cos(math.radians(3))) / math.sqrt(3), rel=1e-9)


def test_a_lever_at_thirty_degrees_changes_more_by_the_same_three() -> None:
    change = math.cos(math.radians(30)) - math.cos(math.radians(33))
    expected = 0.1 / math.cos(math.radians(30)) * change / math.sqrt(3)
    assert lines(gauge_angle_deg=30.0)["cosine"] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("angle", [15.0, -15.0])
def test_a_lever_tilted_either_way_is_the_same(angle: float) -> None:
    assert lines(gauge_angle_deg=angle)["cosine"] == pytest.approx(
        lines(gauge_angle_deg=15.0)["cosine"], rel=1e-12
    )


def test_few_values_a_turn_may_each_be_an_average() -> None:
    """A mean over 1 / N of a turn leaves sin(pi / N) / (pi / N) of order 1 (closed form)."""
    lost = 1 - math.sin(math.pi / 12) / (math.pi / 12)
    assert lines(values_per_turn=12)["averaging within a reading"] == pytest.approx(
        0.1 * lost / math.sqrt(3), rel=1e-9
    )


def test_with_36_values_a_turn_averaging_is_nothing() -> None:
    assert "averaging within a reading" not in lines(values_per_turn=36)


def test_bent_angles_take_the_second_order_of_the_cosine() -> None:
    assert lines(u_angle_rad=0.02)["angle"] == pytest.approx(0.05 * 0.02**2, rel=1e-12)


def test_a_good_angle_has_no_line() -> None:
    assert "angle" not in lines()


def test_lines_join_in_quadrature() -> None:
    assert together_mm({"a": Component(0.003), "b": Component(0.004, 7.0)}) == pytest.approx(0.005, rel=1e-15)


def test_no_lines_are_nothing() -> None:
    assert together_mm({}) == 0.0


def analysed(turns: int = 3, **more: Component) -> SweepResult:
    sweep = made(wobble(0.142), turns=turns, noise_mm=0.001, step_mm=0.001)
    return analyse(capture(sweep, 0.001), Options(other=more))


def test_the_random_line_comes_first_and_three_turns_need_no_closure_line() -> None:
    assert list(analysed().pooled.tir_fit.parts) == ["turn to turn", "resolution", "cosine"]


def test_a_single_turn_has_one() -> None:
    assert "closure" in analysed(turns=1).pooled.tir_fit.parts


def test_what_was_done_before_stands_in_the_budget() -> None:
    assert list(analysed(sag=Component(0.004)).pooled.tir_fit.parts.items())[-1] == ("sag", Component(0.004))


def test_another_line_widens_the_interval_in_quadrature() -> None:
    narrow, wider = (
        np.subtract(*analysed(sag=Component(u)).pooled.tir_fit.interval()[::-1]) / 2 for u in (1e-9, 0.004)
    )
    # Both half-widths take 1.96 u; the two of one interval differ by a few per cent.
    assert wider == pytest.approx(math.hypot(narrow, 1.959964 * 0.004), rel=1e-3)


def test_the_lines_beside_the_random_one_are_those_that_joined() -> None:
    result = analysed()
    lines = dict(result.pooled.tir_fit.parts)
    del lines["turn to turn"]
    assert result.other_u_mm == pytest.approx(together_mm(lines), rel=1e-12)
