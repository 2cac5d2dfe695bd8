"""Noise between neighbours: what a step, a ridge and a coarse gauge make of it."""

import math

import numpy as np
import pytest

from analysis.diagnosis.local_noise import noise_floor

NOISE = np.random.default_rng(1).normal(0.0, 0.001, 4000)
# A standard deviation from 4000 differences, neighbours of which share a reading: three of its deviations,
# sqrt(3 / 4N), are 4 %.
REL = 0.04


def test_it_is_what_neighbours_show_where_a_step_inflates_the_rest() -> None:
    reading = NOISE + np.where(np.arange(4000) < 2000, 0.0, 1.0)
    assert noise_floor(reading, float(np.std(reading))) == pytest.approx(0.001, rel=REL)


def test_a_ridge_on_every_turn_does_not_inflate_it() -> None:
    reading = NOISE + np.where(np.arange(4000) % 400 < 10, 0.040, 0.0)
    # Two edges in 400 readings take two of the twenty that are left out: the rest is cut a little less.
    assert noise_floor(reading, float(np.std(reading))) == pytest.approx(0.001, rel=0.06)


@pytest.mark.parametrize("steps", [0.3, 0.6, 1.2])
def test_a_coarse_step_does_not_hide_it(steps: float) -> None:
    q = 0.001 / steps
    wobble = 40 * q * np.cos(2 * math.pi * np.arange(4000) / 480)
    reading = np.round((wobble + NOISE) / q) * q
    # Rounding is even over a step rather than normal: cut by a twentieth, its variance is off by a tenth at most.
    expected = math.hypot(0.001, q / math.sqrt(12.0))
    assert noise_floor(reading - wobble, 1.0, q) == pytest.approx(expected, rel=0.12)


def test_it_is_never_under_what_rounding_makes() -> None:
    assert noise_floor(np.zeros(50), 0.002, 0.001) == pytest.approx(0.001 / math.sqrt(12.0))


def test_it_is_never_above_what_the_fit_leaves() -> None:
    assert noise_floor(NOISE, 0.0004, 0.001) == 0.0004


def test_it_is_the_stated_noise_where_neighbours_stand_still() -> None:
    assert noise_floor(np.zeros(50), 0.002) == 0.002


def test_one_reading_has_no_neighbour() -> None:
    assert noise_floor(np.zeros(1), 0.002) == 0.002
