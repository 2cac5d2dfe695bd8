"""What the plan of a cut tells from tracks, passes and repeated mountings: every figure inside its interval.

Truths are the scenarios' own parameters. All through the command line, fixed seeds.
"""

from typing import Any

import pytest
from practice_commands import AFTER, FOUND, INNER, MOUNT, json_of, ran

from logger.practice.bench.orders import extremes
from logger.practice.stories import wind_pump_shop
from logger.practice.stories.catalogue import scenario

BETWEEN = "practice:wind-pump-shop/between-passes"


# The cut: tracks, between passes, the part taken off.


def plan(*more: str) -> tuple[int, Any]:
    return json_of("plan-cut", "--bearings", FOUND, "--mounting", MOUNT, *more)


def test_the_least_stock_is_that_of_all_tracks_on_one_zero() -> None:
    outer, inner = (scenario(name).plant.extremes for name in ("wind-pump/mount-2", INNER[9:]))
    drop = wind_pump_shop.INNER_HEIGHT_MM
    expected = max(outer.high_mm, inner.high_mm + drop) - min(outer.low_mm, inner.low_mm + drop)
    card = plan("--track", INNER)[1]["card"]
    # The second track's zero is read to a tenth of a step, each extreme to 0.0003 mm.
    assert card["least_stock_mm"] == pytest.approx(expected, abs=0.001)
    assert plan()[1]["card"]["least_stock_mm"] == pytest.approx(outer.tir_mm, abs=0.001)


def test_a_sweep_between_passes_tells_the_arc_still_uncut() -> None:
    plant = scenario(BETWEEN[9:]).plant
    assert plant.cut_to_mm is not None
    readings = [plant.orders.reading_mm(k / 3600) for k in range(3600)]
    uncut = 360.0 * sum(each < plant.cut_to_mm for each in readings) / 3600
    card = plan("--between", BETWEEN)[1]["card"]
    # A place counts as uncut from 0.002 mm under the level: two or three degrees on each side.
    assert card["still_uncut_deg"] == pytest.approx(uncut, abs=8.0)
    assert card["left_to_cut_mm"] == pytest.approx(plant.extremes.tir_mm, abs=0.001)


def test_the_card_tells_the_depth_by_angle() -> None:
    orders = scenario("wind-pump/mount-2").plant.orders
    low = extremes(orders).low_mm
    for one in plan()[1]["card"]["depth_by_angle"]:
        expected = orders.reading_mm(one["part_deg"] / 360.0) - low
        assert one["depth_mm"] == pytest.approx(expected, abs=0.0005)  # half a step of the gauge


def test_before_the_first_pass_nothing_is_cut() -> None:
    assert plan("--between", MOUNT)[1]["card"]["still_uncut_deg"] == 360.0


def test_after_the_last_pass_all_is_cut() -> None:
    assert plan("--between", AFTER)[1]["card"]["still_uncut_deg"] == 0.0


REPEATED = ("--mounting", "practice:wind-pump-shop/mount-3", "--mounting", "practice:wind-pump-shop/mount-4")


def test_scatter_of_mountings_joins_only_where_the_part_comes_off() -> None:
    stays = json_of("plan-cut", "--bearings", FOUND, *REPEATED, "--mounting", MOUNT)[1]
    leaves = json_of("plan-cut", "--bearings", FOUND, *REPEATED, "--mounting", MOUNT, "--comes-off")[1]
    width = [found["mountings"][-1]["u_predicted_tir_mm"] for found in (stays, leaves)]
    assert stays["scatter_mm"] == leaves["scatter_mm"] == pytest.approx(0.0018, abs=0.0003)
    assert width[1] > 5 * width[0]


def test_the_advice_says_that_the_scatter_is_counted_in() -> None:
    out = ran("plan-cut", "--bearings", FOUND, *REPEATED, "--mounting", MOUNT, "--comes-off")[1]
    assert "which is counted in" in out
