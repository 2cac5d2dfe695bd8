"""What coarse steps of the reading do to a fit."""

import math

import numpy as np
import pytest
from made_sweeps import made, wobble

from analysis.capture import Floats
from analysis.harmonics import FitPlan, fit_harmonics
from analysis.uncertainty.quantisation import (
    LIMITED_BELOW,
    UNSEEN_STEPS,
    WHITE_FROM,
    coefficient_biases_mm,
    noise_behind_steps,
    unseen_quantisation_bias_mm,
)
from analysis.uncertainty.sweep import tir_interval

STEP = 0.01


def quantisation_bias(position: Floats, noise: float) -> Floats:
    """Return the mean of the rounded reading less the true one, in steps: the series as it is written."""
    total = np.zeros_like(position)
    for k in range(1, 200):
        size = math.exp(-2 * (math.pi * k * noise) ** 2) / (math.pi * k)
        total -= (-1) ** (k + 1) * size * np.sin(2 * math.pi * k * position)
    return total


@pytest.mark.parametrize("noise", [0.2, 0.3, 0.5])
def test_the_pull_is_the_mean_of_drawn_roundings(noise: float) -> None:
    position = np.linspace(-0.45, 0.45, 7)
    drawn = position[:, None] + noise * np.random.default_rng(1).standard_normal((7, 200_000))
    mean = np.round(drawn).mean(axis=1) - position
    # 200,000 draws of at most half a step's deviation: 0.0012, four of them.
    assert quantisation_bias(position, noise) == pytest.approx(mean, abs=0.005)


def test_in_the_middle_and_at_the_edge_of_a_step_nothing_pulls() -> None:
    assert quantisation_bias(np.array([0.0, 0.5]), 0.1) == pytest.approx([0.0, 0.0], abs=1e-12)


def test_with_little_noise_a_reading_is_pulled_to_the_middle_of_its_step() -> None:
    # As far as the first hundred terms of the sawtooth go: the rest is under a ten-thousandth each.
    assert quantisation_bias(np.array([0.25, -0.25]), 0.01) == pytest.approx([-0.25, 0.25], abs=0.01)


def test_every_step_pulls_alike() -> None:
    assert quantisation_bias(np.array([0.2, 3.2, -1.8]), 0.2) == pytest.approx(
        quantisation_bias(np.array([0.2] * 3), 0.2), abs=1e-12
    )


def test_the_largest_pull_is_that_of_its_first_term() -> None:
    """exp(-2 (pi s)^2) / pi of a step (Fourier series of the sawtooth): 0.054 at 0.3, 0.0023 at 0.5 steps."""
    for noise, size in ((0.3, 0.0539), (0.5, 0.0023)):
        assert float(np.abs(quantisation_bias(np.linspace(-0.5, 0.5, 1001), noise)).max()) == pytest.approx(
            size, rel=0.02
        )


def test_where_rounding_counts_as_white_the_pull_is_under_three_ten_thousandths() -> None:
    assert float(np.abs(quantisation_bias(np.linspace(-0.5, 0.5, 1001), WHITE_FROM)).max()) < 3e-4


def test_white_begins_where_limited_has_ended() -> None:
    assert LIMITED_BELOW < WHITE_FROM


def test_the_noise_behind_the_steps_is_what_is_left_of_the_residual() -> None:
    residual = math.hypot(0.004, STEP / math.sqrt(12))
    assert noise_behind_steps(residual, STEP) == pytest.approx(0.004, rel=1e-12)


def test_a_residual_below_that_of_rounding_leaves_no_noise() -> None:
    assert noise_behind_steps(STEP / 4, STEP) == 0.0


def test_the_spread_over_zeros_is_what_rounding_does_to_the_orders() -> None:
    """Another road: the same wobble and noise rounded at many zeros, fitted each time."""
    noise, found = 0.2 * STEP, []
    for seed in range(200):
        zero = STEP * (seed + 0.5) / 200
        sweep = made(wobble(6 * STEP, zero_mm=zero), turns=20, noise_mm=noise, step_mm=STEP, seed=seed)
        found.append(fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=3).coefficients_mm)
    spread = np.sqrt(np.mean((np.array(found) - np.mean(found, axis=0)) ** 2, axis=0))
    sweep = made(wobble(6 * STEP, zero_mm=0.003), turns=20, noise_mm=noise, step_mm=STEP)
    fit = fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=3)
    found = coefficient_biases_mm(fit, sweep.angle_rad, sweep.t_s, STEP)
    white = float(fit.noise_mm) * math.sqrt(2 / len(sweep.t_s))
    # Deviations of 200 rounded sweeps: 5 % each, six of them compared.
    assert np.hypot(np.sqrt(np.mean(found**2, axis=0)), white) == pytest.approx(spread, rel=0.25)


def test_the_pull_on_each_order_is_that_on_the_readings_fitted() -> None:
    sweep = made(wobble(6 * STEP), turns=2, noise_mm=0.2 * STEP, step_mm=STEP)
    fit = fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=3)
    found = coefficient_biases_mm(fit, sweep.angle_rad, sweep.t_s, STEP)
    noise = noise_behind_steps(float(fit.noise_mm), STEP) / STEP
    for zero, drawn in zip((np.arange(256) + 0.5) / 256, found, strict=True):
        bias_mm = quantisation_bias(fit.model(sweep.angle_rad, sweep.t_s) / STEP + zero, noise) * STEP
        alone = fit_harmonics(sweep.angle_rad, bias_mm, highest_order=3)
        assert drawn == pytest.approx(alone.coefficients_mm, abs=1e-4 * STEP)


def test_very_many_readings_are_spoken_for_by_evenly_taken_ones() -> None:
    sweep = made(wobble(6 * STEP), turns=40, noise_mm=0.2 * STEP, step_mm=STEP)
    fit = fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=3)
    found = coefficient_biases_mm(fit, sweep.angle_rad, sweep.t_s, STEP)
    assert found.shape == (256, 6)


def test_what_steps_hide_fades_to_nothing_where_noise_shows_it() -> None:
    assert [
        unseen_quantisation_bias_mm(noise * STEP, STEP) for noise in (0.0, 0.1, 0.2, 0.3, 1.0)
    ] == pytest.approx(
        [UNSEEN_STEPS * STEP, UNSEEN_STEPS * STEP, UNSEEN_STEPS * STEP / 2, 0.0, 0.0], abs=1e-12
    )


@pytest.mark.slow
@pytest.mark.parametrize("steps", [1.0, 2.0, 4.0, 8.0])
def test_the_high_side_of_a_wobble_of_a_few_steps_is_held_by_its_interval(steps: float) -> None:
    """Noise of a twentieth of a step, three turns, other orders beside the first: of 40 sweeps 35 at least."""
    inside = 0
    for seed in range(40):
        rng = np.random.default_rng(seed)
        n = np.arange(1, 16)
        size, phase = rng.rayleigh(0.3, 15) / n**1.5, rng.uniform(0, 2 * math.pi, 15)
        size[0] = 1.0
        t_s = np.arange(1500) / 500
        form = steps * STEP / 2 * (size * np.cos(np.outer(2 * math.pi * t_s, n) - phase)).sum(axis=1)
        reading = form + STEP * (rng.uniform(-0.5, 0.5) + 0.05 * rng.standard_normal(1500))
        found = tir_interval(
            2 * math.pi * t_s,
            np.round(reading / STEP) * STEP,
            t_s,
            np.floor(t_s).astype(int),
            plan=FitPlan(15, 3),
            resolution_mm=STEP,
        ).first.high_side
        off = (math.degrees(phase[0]) - found.value + 180.0) % 360.0 - 180.0
        low, high = found.interval()
        inside += low <= found.value + off <= high
    # 95 % of 40 is 38; four sd of a binomial less.
    assert inside >= 35
