"""How far order 1 wanders from turn to turn, and what that does to how well it is known."""

import math

import numpy as np
import pytest
from made_sweeps import Floats, Made, made, wobble

from analysis.harmonics import TurnResiduals, fit_harmonics
from analysis.uncertainty.wander import NOT_TESTED, WIDENED_AT, Wander, order_one_wander

NOISE_MM = 0.001


def seen(sweep: Made, lines: int = 0) -> Wander:
    fit = fit_harmonics(sweep.angle_rad, sweep.reading_mm, sweep.t_s, highest_order=5, drift=True)
    return order_one_wander(
        TurnResiduals.of(sweep.angle_rad, fit.residual_mm, sweep.turn, 5).fits(5),
        lines=lines,
        noise_mm=fit.noise_mm,
    )


def wandering(size: float, *, turns: int = 5, seed: int = 1, lag1: float = 0.0) -> Made:
    vectors = np.random.default_rng(70 + seed).standard_normal((turns, 2))
    for k in range(1, turns):
        vectors[k] = lag1 * vectors[k - 1] + math.sqrt(1.0 - lag1**2) * vectors[k]

    def also(deg: Floats) -> Floats:
        k = np.minimum((deg // 360.0).astype(int), turns - 1)
        a, b = size * NOISE_MM * vectors[k].T
        return np.asarray(a * np.cos(np.radians(deg)) + b * np.sin(np.radians(deg)))

    return made(wobble(0.1), turns=turns, noise_mm=NOISE_MM, seed=seed, also=also)


def test_the_wander_is_told_in_mm() -> None:
    found = [seen(wandering(1.0, seed=seed)).mm for seed in range(40)]
    # Known by 8 degrees of freedom each: the root mean square of forty by 4 %; four of them.
    assert math.sqrt(np.mean(np.square(found))) == pytest.approx(NOISE_MM, rel=0.16)


def test_turns_that_repeat_are_widened_in_one_of_five() -> None:
    widened = sum(seen(made(wobble(0.1), noise_mm=NOISE_MM, seed=k)).widens for k in range(60))
    # 12 expected of 60; over 24 come once in ten thousand (binomial).
    assert 1 <= widened <= 24
    assert WIDENED_AT == 0.2


def test_the_degrees_of_freedom_are_two_a_turn_less_the_mean() -> None:
    assert seen(wandering(1.0)).dof == 8


def test_a_line_taken_off_costs_two() -> None:
    assert seen(wandering(1.0), lines=1).dof == 6


def test_two_turns_and_a_line_tell_nothing() -> None:
    assert seen(wandering(1.0, turns=2), lines=1) == NOT_TESTED


def test_two_turns_have_no_neighbours_to_compare() -> None:
    assert seen(wandering(1.0, turns=2)).lag1 is None


def test_the_mean_of_the_turns_is_as_unsure_as_their_scatter_says() -> None:
    """Variance of a mean of T turns is S^2 / T; without widening it is 2 s^2 / N (JCGM 100, 4.2)."""
    sweep = wandering(1.0, turns=2)
    found, fit = (
        seen(sweep),
        fit_harmonics(sweep.angle_rad, sweep.reading_mm, sweep.t_s, highest_order=5, drift=True),
    )
    of_mean = found.factor * fit.noise_mm**2 * 2.0 / len(sweep.t_s)
    # S^2 is the wander's with the noise's part of one turn, 2 s^2 / 480, put on again.
    assert of_mean == pytest.approx((found.mm**2 + NOISE_MM**2 * 2 / 480) / 2, rel=0.02)


def test_neighbours_that_are_alike_make_the_mean_less_sure() -> None:
    apart, alike = (
        [seen(wandering(3.0, turns=10, seed=seed, lag1=lag1)) for seed in range(20)] for lag1 in (0.0, 0.6)
    )
    assert np.median([one.factor / one.mm**2 for one in alike]) > 1.3 * np.median(
        [one.factor / one.mm**2 for one in apart]
    )


def test_the_correlation_of_neighbours_is_told() -> None:
    found = [seen(wandering(3.0, turns=40, seed=seed, lag1=0.6)).lag1 or 0.0 for seed in range(10)]
    # One correlation of 40 turns of two components is known to about 0.1, ten to 0.03, less a bias of 1 / 40.
    assert float(np.mean(found)) == pytest.approx(0.56, abs=0.13)


def test_one_turn_is_not_tested() -> None:
    sweep = made(wobble(0.1), turns=1, noise_mm=NOISE_MM)
    fit = fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=5)
    found = order_one_wander(
        TurnResiduals.of(sweep.angle_rad, fit.residual_mm, sweep.turn, 5).fits(5),
        lines=0,
        noise_mm=fit.noise_mm,
    )
    assert found == NOT_TESTED
