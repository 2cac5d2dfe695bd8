"""The plant: owners that add up as vectors, and what turns with the part."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, strategies as st

from logger.practice.bench.orders import extremes, runout
from logger.practice.bench.plant import Bump, Plant

PLANT = Plant(
    part=runout(0.142, 63.0) + runout(0.018, 20.0, n=2),
    seat=runout(0.022, 260.0),
    spindle=runout(0.030, 150.0) + runout(0.004, 10.0, n=3),
    dirt=runout(0.090, 20.0),
    on_lathe=True,
)
ROUND = 1e-12  # float64 sums of a few terms below 1 mm


@given(theta=st.floats(-5.0, 5.0), alpha_deg=st.floats(0.0, 360.0))
def test_the_lathe_reads_part_and_seat_at_theta_less_alpha_plus_the_spindle(
    theta: float, alpha_deg: float
) -> None:
    phi = theta - alpha_deg / 360.0
    expected = PLANT.part.reading_mm(phi) + PLANT.seat.reading_mm(phi)
    expected += PLANT.spindle.reading_mm(theta) + PLANT.dirt.reading_mm(theta)
    plant = replace(PLANT, index_deg=alpha_deg)
    assert plant.reading_mm(theta) == pytest.approx(expected, abs=ROUND)


def test_in_its_own_bearings_only_the_part_counts() -> None:
    assert replace(PLANT, on_lathe=False).orders == PLANT.part


@given(alpha_deg=st.floats(0.0, 360.0))
def test_after_a_cut_the_lathe_reads_nothing_wherever_the_part_sat(alpha_deg: float) -> None:
    cut = replace(PLANT, index_deg=alpha_deg).cut()
    assert all(abs(z) < ROUND for _, z in cut.orders.terms)


def test_after_a_cut_a_remount_shows_the_spindle_turned_and_is_blind_to_the_seat() -> None:
    # numerics: S_n (1 - exp(i n alpha)) in arbor angle
    remounted = replace(replace(PLANT, dirt=runout(0.0, 0.0)).cut(), index_deg=77.0)
    expected = PLANT.spindle + -PLANT.spindle.turned(77.0)
    assert extremes(remounted.orders + -expected).tir_mm == pytest.approx(0.0, abs=ROUND)


def test_a_bump_comes_under_the_tip_an_index_angle_later() -> None:
    bump = Bump(deg=217.0, width_deg=8.0, height_mm=0.03)
    plant = Plant(bumps=(bump,), on_lathe=True, index_deg=90.0)
    assert plant.reading_mm((217.0 + 90.0) / 360.0) == pytest.approx(0.03, abs=ROUND)


@pytest.mark.parametrize("deg", [212.9, 221.1, 37.0, 0.0])
def test_a_bump_adds_nothing_outside_its_width(deg: float) -> None:
    assert Bump(deg=217.0, width_deg=8.0, height_mm=0.03).reading_mm(deg / 360.0) == 0.0


def test_a_bump_across_the_mark_is_seen_from_both_sides() -> None:
    bump = Bump(deg=0.0, width_deg=10.0, height_mm=0.03)
    assert bump.reading_mm(1.0 / 360.0) == pytest.approx(bump.reading_mm(359.0 / 360.0), abs=ROUND)


def test_bearing_motion_does_not_repeat_on_the_next_turn() -> None:
    plant = Plant(ball_pass_mm=0.001)
    step = plant.reading_mm(1.2) - plant.reading_mm(0.2)
    expected = 0.001 * (math.cos(math.tau * 0.41 * 1.2) - math.cos(math.tau * 0.41 * 0.2))
    assert step == pytest.approx(expected, abs=ROUND)
