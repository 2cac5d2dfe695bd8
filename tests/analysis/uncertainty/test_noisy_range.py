"""A max - min turned round: against closed forms of two values, and against draws."""

import math

import numpy as np
import pytest
from scipy.stats import norm

from analysis.uncertainty.noisy_range import place_noise, range_limits

NOISE = place_noise(np.ones(1), 1.0)
TABLE = 0.08
"""Limits are read off 13 heights a noise apart, by straight lines between quantiles: a fortieth of a width."""


@pytest.mark.parametrize("apart", [6.0, 60.0, 6000.0])
def test_two_values_far_apart_differ_as_two_normal_numbers_do(apart: float) -> None:
    """What was seen less the truth is normal with variance 2: 2 % lie beyond 2.054 of it (closed form)."""
    half = norm.ppf(0.98) * math.sqrt(2.0)
    found = range_limits(apart, [np.array([[0.0], [apart]])], NOISE)
    assert found == pytest.approx((apart - half, apart + half), abs=TABLE)


def test_the_widest_of_many_pairs_is_taken_by_how_many_are_as_wide() -> None:
    """All of 360 pairs as wide: the highest of 360 normal numbers, variance 2, stands on top (closed form)."""
    least, most = (norm.ppf(level ** (1.0 / 360.0)) * math.sqrt(2.0) for level in (0.02, 0.98))
    shape = np.array([np.zeros(360), np.full(360, 30.0)])
    assert range_limits(30.0, [shape], NOISE) == pytest.approx((30.0 - most, 30.0 - least), abs=TABLE)


def test_what_noise_alone_may_show_reaches_down_to_nothing() -> None:
    shape = np.array([np.zeros(360), np.cos(np.linspace(0.0, 6.0, 360))])
    low, high = range_limits(4.4, [shape], NOISE)  # the mean of what 360 pairs of noise alone show is 4.45
    assert low == 0.0
    assert 0.0 < high < 4.4


def test_limits_go_with_the_noise_and_the_worst_shape_holds() -> None:
    smooth, rough = np.array([np.zeros(50), np.ones(50)]), np.array([np.zeros(50), np.eye(50)[7]])
    both = range_limits(9.0, [smooth, rough], NOISE)
    each = [range_limits(9.0, [shape], NOISE) for shape in (smooth, rough)]
    assert both == (min(low for low, _ in each), max(high for _, high in each))
    assert range_limits(0.018, [smooth, rough], place_noise(np.ones(1), 0.002)) == pytest.approx(
        [0.002 * end for end in both], rel=1e-9
    )


@pytest.mark.parametrize(("values", "sets"), [(2, 90), (5, 90), (120, 1)])
def test_limits_of_drawn_values_hold_as_often_as_they_say(values: int, sets: int) -> None:
    rng = np.random.default_rng([values, sets])
    size = np.sqrt(rng.uniform(0.5, 1.0, (values, sets)))
    shape = np.cos(np.arange(values)[:, None] + np.linspace(0.0, 3.0, sets)) * 4.0
    truth = float(np.ptp(shape, axis=0).max())
    noise = place_noise(size**2, 1.0)
    below = above = 0
    for _ in range(200):
        seen = float(np.ptp(shape + size * rng.standard_normal(shape.shape), axis=0).max())
        low, high = range_limits(seen, [shape], noise)
        below, above = below + (truth < low), above + (truth > high)
    # Of 200 at 2 % a side, 4 are expected on each; 14 or more come once in 10,000 (binomial).
    assert max(below, above) < 14


def test_neighbours_that_hang_together_compete_less() -> None:
    shape = np.array([np.zeros(360), np.full(360, 30.0)])
    apart, alike = (range_limits(30.0, [shape], NOISE, sets_apart=share) for share in (1.0, 0.25))
    assert alike[0] > apart[0]
    assert alike[1] > apart[1]
