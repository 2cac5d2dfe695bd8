"""Whether turns differ by more than the noise within them."""

import math

import numpy as np
import pytest
from made_sweeps import Floats, Made, made, wobble

from analysis.harmonics import TurnFits, TurnResiduals, fit_harmonics
from analysis.uncertainty.turn_scatter import TurnScatter, not_tested, turn_scatter

NOISE_MM = 0.001
HIGHEST = 5


def scattered(sweep: Made, unknown: int = 0) -> TurnScatter:
    fit = fit_harmonics(sweep.angle_rad, sweep.reading_mm, sweep.t_s, highest_order=HIGHEST, drift=True)
    return compared(sweep, fit.residual_mm, unknown)


def compared(sweep: Made, residual_mm: Floats, unknown: int = 0) -> TurnScatter:
    left = TurnResiduals.of(sweep.angle_rad, residual_mm, sweep.turn, HIGHEST)
    return turn_scatter(left.less_mean().fits(HIGHEST), unknown=unknown)


def wandering(order: int, size: float, *, turns: int = 5, seed: int = 1) -> Made:
    """One order otherwise on every turn, by so many noises."""
    rng = np.random.default_rng(100 + seed)
    a, b = rng.normal(0.0, size * NOISE_MM, (2, turns))

    def also(deg: Floats) -> Floats:
        k = np.minimum((deg // 360.0).astype(int), turns - 1)
        phi = np.radians(order * deg)
        return np.asarray(a[k] * np.cos(phi) + b[k] * np.sin(phi))

    return made(wobble(0.1), turns=turns, noise_mm=NOISE_MM, seed=seed, also=also)


def test_turns_compared_in_parts_are_those_compared_at_once() -> None:
    sweep = wandering(3, 2.0, turns=7)
    fit = fit_harmonics(sweep.angle_rad, sweep.reading_mm, sweep.t_s, highest_order=HIGHEST, drift=True)
    parts = []
    for some in (sweep.turn < 3, sweep.turn >= 3):
        left = TurnResiduals.of(sweep.angle_rad[some], fit.residual_mm[some], sweep.turn[some], HIGHEST)
        parts.append(left.less_mean().fits(HIGHEST))
    joined = turn_scatter(TurnFits.joined(parts), unknown=0)
    at_once = compared(sweep, fit.residual_mm)
    assert joined.factor[2] > 1.0
    np.testing.assert_array_equal(joined.factor, at_once.factor)
    assert joined.p_value == at_once.p_value


def test_one_turn_is_not_tested() -> None:
    assert scattered_one().p_value == 1.0


def scattered_one() -> TurnScatter:
    sweep = made(wobble(0.1), turns=1, noise_mm=NOISE_MM)
    fit = fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=HIGHEST)
    return compared(sweep, fit.residual_mm, 0)


def test_what_was_not_tested_widens_nothing() -> None:
    assert not not_tested(HIGHEST).inflated


def test_turns_that_repeat_are_rarely_called_different() -> None:
    # One in a hundred by each of two tests: more than three of fifty come twice in a hundred.
    assert sum(scattered(made(wobble(0.1), noise_mm=NOISE_MM, seed=k)).inflated for k in range(50)) <= 3


def test_the_chance_told_is_spread_evenly_for_turns_that_repeat() -> None:
    found = np.sort([scattered(made(wobble(0.1), noise_mm=NOISE_MM, seed=k)).p_value for k in range(100)])
    # Kolmogorov and Smirnov: 1.63 / sqrt(100) once in a hundred.
    assert np.abs(found - (np.arange(100) + 0.5) / 100).max() < 0.163


@pytest.mark.parametrize("order", [1, 3, 5])
def test_an_order_that_wanders_is_widened_most(order: int) -> None:
    assert int(np.argmax(scattered(wandering(order, 1.0)).factor)) + 1 == order


def test_the_others_are_left_alone() -> None:
    found = scattered(wandering(3, 1.0))
    assert np.delete(found.factor, 2) == pytest.approx(np.ones(4), abs=1e-12)


def test_its_degrees_of_freedom_are_those_of_its_turns() -> None:
    # Two components, five turns less their mean.
    assert scattered(wandering(3, 1.0)).dof[2] == 8


def test_the_widening_is_that_of_the_scatter_put_in() -> None:
    """A component of one turn has noise^2 2 / 480 within; with 1 noise between it is 241 times that."""
    found = [float(scattered(wandering(3, 1.0, seed=k)).factor[2]) for k in range(40)]
    # A variance by 8 degrees of freedom scatters by half of itself; the mean of forty by 8 %.
    assert np.mean(found) == pytest.approx(1.0 / (2 / 480) + 1.0, rel=0.3)


def test_the_worst_factor_is_the_largest() -> None:
    found = scattered(wandering(3, 1.0))
    assert found.largest == float(found.factor.max())


def test_what_was_fitted_over_all_turns_costs_degrees_of_freedom() -> None:
    plain, less = (scattered(made(wobble(0.1), noise_mm=NOISE_MM), unknown) for unknown in (0, 7))
    # Two components of five orders, three turns less their mean: 20 in place of 13.
    assert less.pooled_factor == pytest.approx(plain.pooled_factor * 20 / 13, rel=1e-12)


def test_a_turn_with_half_its_readings_gone_takes_no_part() -> None:
    sweep = made(wobble(0.1), turns=3, noise_mm=NOISE_MM)
    keep = (sweep.turn != 1) | (np.mod(sweep.deg, 360.0) < 150.0)
    cut = Made(sweep.angle_rad[keep], sweep.reading_mm[keep], sweep.t_s[keep], sweep.turn[keep])
    two = Made(*(column[cut.turn != 1] for column in (cut.angle_rad, cut.reading_mm, cut.t_s, cut.turn)))
    fit = fit_harmonics(cut.angle_rad, cut.reading_mm, highest_order=HIGHEST)
    whole = compared(cut, fit.residual_mm, 0)
    without = compared(two, fit.residual_mm[cut.turn != 1], 0)
    assert whole.pooled_factor == pytest.approx(without.pooled_factor, rel=1e-12)


def test_a_turn_with_hardly_more_readings_than_unknowns_takes_no_part() -> None:
    sweep = made(wobble(0.1), turns=3, per_turn=12, noise_mm=NOISE_MM)
    assert scattered(sweep).p_value == 1.0


def test_readings_without_noise_tell_no_scatter() -> None:
    sweep = made(wobble(0.1))
    found = compared(sweep, np.zeros(len(sweep.t_s)), 0)
    assert found.p_value == 1.0
    assert math.isinf(float(found.dof[0]))
