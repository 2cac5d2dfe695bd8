"""Backlash at a few places: closed forms, phase against the runout, and readings no gear pair gives."""

import math

import numpy as np
import pytest
from wobbles import order_one

from analysis.errors import BadInput
from analysis.measurands.gear_backlash import backlash

DEG = np.arange(8) * 45.0
READINGS = 0.15 + 0.02 * np.cos(np.radians(DEG - 70.0))
FOUND = backlash(DEG, READINGS)


def test_mean_and_once_round_part_come_back() -> None:
    assert (FOUND.mean_mm, FOUND.first_mm) == pytest.approx((0.15, 0.04))


def test_it_is_least_opposite_to_its_high_side() -> None:
    assert FOUND.low_deg == pytest.approx(250.0)


def test_the_range_is_that_of_the_readings() -> None:
    assert FOUND.range_mm == pytest.approx(float(np.ptp(READINGS)))


def test_without_a_sweep_nothing_is_held_against_the_runout() -> None:
    assert (FOUND.expected_range_mm, FOUND.angle_to_runout_deg) == (None, None)


def test_a_gear_that_stands_high_has_least_backlash_there() -> None:
    found = backlash(DEG, READINGS, sweep=[order_one(0.05, 250)])
    assert math.cos(math.radians(found.angle_to_runout_deg or 0.0)) == pytest.approx(1.0)


def test_the_factor_makes_a_range_of_the_runout() -> None:
    # Bevel, 20 deg pressure angle, 45 deg pitch angle: 2 tan 20 sin 45 (textbook form, from memory).
    factor = 2 * math.tan(math.radians(20)) * math.sin(math.radians(45))
    found = backlash(DEG, READINGS, sweep=[order_one(0.05, 0)], factor=factor)
    assert found.expected_range_mm == pytest.approx(0.05 * factor)


@pytest.mark.parametrize(
    ("deg", "readings", "words"),
    [
        ([0, 90, 180], [0.1, 0.1, 0.1], "all 3 readings are 0.1 mm"),
        ([0, 180], [0.1, 0.2], "three or more"),
        ([0, 90, 180], [0.1, -0.1, 0.1], "below zero"),
    ],
)
def test_what_no_gear_pair_gives_is_refused(deg: list, readings: list, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        backlash(deg, readings)
