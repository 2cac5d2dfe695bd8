"""The other jobs by commands alone: bicycle disc, potter's wheel, telescope worm. Fixed seeds."""

import math
from typing import Any

import pytest
from running import json_of, printed

from logger.practice.stories.catalogue import scenario

FIRST = [0.080, 0.100, 0.217, 0.284, 0.2775, 0.200]
ALL = [0.110, 0.147, 0.269, 0.262, 0.314, 0.258]
TOLERANCE_MM = 0.001
"""The story's figures are rounded to 0.001 mm (half of it), and a sweep's own uncertainty comes on top."""


@pytest.fixture(scope="module")
def positions() -> Any:
    status, found = json_of(
        "best-hole", "practice:bicycle-disc/hub", "practice:bicycle-disc/disc", "--holes", "6"
    )
    assert status == 0
    return found


def test_two_sweeps_predict_the_first_order_of_all_six_positions(positions: Any) -> None:
    assert [one["first_mm"] for one in positions["positions"]] == pytest.approx(FIRST, abs=TOLERANCE_MM)


def test_two_sweeps_predict_the_tir_of_all_six_positions(positions: Any) -> None:
    assert [one["tir_mm"] for one in positions["positions"]] == pytest.approx(ALL, abs=TOLERANCE_MM)


def test_every_true_tir_lies_inside_its_interval(positions: Any) -> None:
    for one in positions["positions"]:
        true = scenario(f"bicycle-disc/assembled-{one['deg']:g}").truth()["tir_fit_mm"]
        assert one["tir_95_mm"][0] <= true <= one["tir_95_mm"][1]


def test_the_best_position_is_found_as_predicted(positions: Any) -> None:
    best = positions["best"]
    _, found = json_of("sweep", f"practice:bicycle-disc/assembled-{best['deg']:g}")
    u_both_mm = math.hypot(best["u_tir_mm"], found["pooled"]["u_tir_fit_mm"])
    assert found["pooled"]["tir_fit_mm"] == pytest.approx(best["tir_mm"], abs=3 * u_both_mm)


def test_two_assembled_sweeps_predict_the_same() -> None:
    status, found = json_of(
        "best-hole", "--assembled", "practice:bicycle-disc/assembled-0@0",
        "--assembled", "practice:bicycle-disc/assembled-60@60", "--holes", "6",
    )  # fmt: skip
    assert (status, found["not_separable"]) == (0, [6, 12])
    assert [one["tir_mm"] for one in found["positions"]] == pytest.approx(ALL, abs=TOLERANCE_MM)


def test_the_disc_alone_bounds_holes_between_those_that_were_tried() -> None:
    arguments = (
        "best-hole", "--assembled", "practice:bicycle-disc/assembled-0@0",
        "--assembled", "practice:bicycle-disc/assembled-60@60", "--holes", "0,60,90",
    )  # fmt: skip
    _, without = json_of(*arguments)
    assert without["positions"][2]["tir_bounds_mm"] is None
    _, found = json_of(*arguments, "--part", "practice:bicycle-disc/disc")
    assert found["positions"][2]["tir_mm"] is None
    low, high = found["positions"][2]["tir_bounds_mm"]
    # The discs have no lobes of six: what bounds them is noise alone, some hundredths of what it was.
    assert 0.0 < low < high < low + 0.05


def test_a_part_alone_read_at_another_radius_is_refused() -> None:
    said = printed(
        "best-hole", "--assembled", "practice:bicycle-disc/assembled-0@0",
        "--assembled", "practice:bicycle-disc/assembled-60@60", "--holes", "6",
        "--part", "practice:wind-pump/as-found",
    )  # fmt: skip
    assert said[0] == 2


def test_the_screws_of_the_worm_wheel() -> None:
    status, found = json_of("adjust", "practice:telescope-worm/as-found", "--screws", "0,120,240")
    # The story's moves; six turns of a slow indicator leave about 0.1 um on the vector.
    assert [1000 * one["move_mm"] for one in found["moves"]] == pytest.approx([-2.7, -8.8, 11.5], abs=0.3)
    assert status == 0


@pytest.mark.parametrize(("name", "status"), [("as-found", 1), ("as-left", 0)])
def test_the_worm_wheel_is_over_and_then_within(name: str, status: int) -> None:
    assert json_of("sweep", f"practice:telescope-worm/{name}")[0] == status


def test_the_wheel_head_and_its_spindle_come_apart() -> None:
    status, found = json_of("separate", "practice:potters-wheel/as-found", "practice:potters-wheel/half-turn")
    first = found["orders"][0]
    part = complex(first["part_cos_mm"], first["part_sin_mm"])
    spindle = complex(first["spindle_cos_mm"], first["spindle_sin_mm"])
    assert status == 0
    assert (2 * abs(part) / 25.4, 2 * abs(spindle) / 25.4) == pytest.approx((0.0488, 0.0180), abs=5e-5)


def test_the_wheel_head_trued_in_its_own_bearings_is_within() -> None:
    assert json_of("sweep", "practice:potters-wheel/as-left")[0] == 0


def test_the_warm_up_drifts_as_the_story_says() -> None:
    _, found = json_of("sweep", "practice:potters-wheel/warm-up")
    ten_minutes_in = found["pooled"]["drift_mm_per_s"] * 600 / 25.4
    # 0.0008 mm of noise over twelve turns: a few per cent of the drift.
    assert ten_minutes_in == pytest.approx(0.0012, abs=0.0001)


@pytest.mark.parametrize(("fault", "check"), [("late", "lag"), ("hysteresis", "backward-forward")])
def test_a_bad_gauge_raises_its_own_check_and_no_refusal(fault: str, check: str) -> None:
    _, found = json_of("sweep", "practice:wind-pump/as-found", "--fault", fault, "--seed", "2")
    states = {one["name"]: one["state"] for one in found["checks"]}
    assert (states[check], "refused" in states.values()) == ("doubtful", False)


def test_the_lag_of_a_late_gauge_is_told_from_one_sweep() -> None:
    _, found = json_of("sweep", "practice:wind-pump/as-found", "--fault", "late", "--seed", "2")
    # 120 ms; bearings that do not repeat pull it by some 15 ms.
    assert found["gauge"]["lag_s"] == pytest.approx(0.120, abs=0.03)


def test_and_the_high_side_says_how_unsure_it_then_is() -> None:
    _, found = json_of("sweep", "practice:wind-pump/as-found", "--fault", "late", "--seed", "2")
    low, high = found["pooled"]["high_side_95_deg"]
    assert low <= 63.0 <= high
