"""A slow line whose frequency a few turns hardly tell: every frequency that fits takes its share."""

import math

import numpy as np
import pytest
from made_sweeps import Floats, Made, made, wobble

from analysis.harmonics import Line
from analysis.uncertainty.line_frequency import REACH, LineFrequencyPosterior, frequency_posterior

NOISE_MM = 0.001


def lined(order: float, size: float = 3.0, *, turns: int = 3, seed: int = 1) -> Made:
    def also(deg: Floats) -> Floats:
        return np.asarray(size * NOISE_MM * np.cos(order * np.radians(deg) + 0.4))

    return made(wobble(0.05), turns=turns, noise_mm=NOISE_MM, seed=seed, also=also)


def posterior(
    order: float, *, turns: int = 3, guess: float | None = None, size: float = 3.0, seed: int = 1
) -> LineFrequencyPosterior:
    sweep = lined(order, size, turns=turns, seed=seed)
    found = Line(guess or order, size * NOISE_MM, 0.0)
    return frequency_posterior(sweep.angle_rad, sweep.reading_mm, sweep.t_s, 15, [found], turns=float(turns))


def test_shares_make_one() -> None:
    assert float(posterior(0.41).weight.sum()) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("order", [0.41, 0.7, 2.6])
def test_the_frequency_is_among_those_that_fit(order: float) -> None:
    found = posterior(order)
    assert found.order.min() <= order <= found.order.max()


def test_the_best_frequency_is_near_the_true_one() -> None:
    # Frequency of a sine over five turns: 0.0015 cycles a turn, and the grid of those tried.
    assert posterior(2.6, turns=5).best_order == pytest.approx(2.6, abs=0.01)


def test_a_first_guess_off_by_a_third_of_a_cycle_is_mended() -> None:
    assert posterior(2.6, turns=5, guess=2.9).best_order == pytest.approx(2.6, abs=0.01)


def test_no_frequency_is_farther_than_the_reach() -> None:
    assert float(np.abs(posterior(2.6).order - 2.6).max()) <= REACH + 1e-12


def test_more_turns_tell_the_frequency_better() -> None:
    few, many = (float(np.ptp(posterior(0.41, turns=turns).order)) for turns in (2, 10))
    assert many < few / 3


def test_a_low_line_is_less_sure_than_a_high_one() -> None:
    widths = [float(np.ptp(posterior(0.41, size=size).order)) for size in (10.0, 0.5)]
    assert widths[1] > widths[0]


def test_the_part_comes_back_within_what_the_draws_say() -> None:
    true = 0.025 * np.array([math.cos(math.radians(63.0)), math.sin(math.radians(63.0))])
    off = []
    for seed in range(30):
        found = posterior(0.41, seed=seed)
        spread = found.draw(500, np.random.default_rng(seed)).std(axis=0)[:2]
        off += list((found.mean_mm[:2] - true) / spread)
    # Sixty numbers of about deviation 1: their root mean square lies within 0.7 and 1.3 but once in a thousand.
    assert 0.6 < float(np.sqrt(np.mean(np.square(off)))) < 1.4


def test_draws_scatter_about_the_mean() -> None:
    drawn = posterior(0.41).draw(20_000, np.random.default_rng(1))
    # Means of 20,000 draws: 0.7 % of their deviation, five of them.
    assert float(np.abs(drawn.mean(axis=0) / drawn.std(axis=0)).max()) < 0.036


def test_the_line_is_gone_from_the_residual() -> None:
    # 1440 readings, 38 unknowns: a deviation known to 1.9 %; four of them.
    assert float(posterior(0.41).residual_mm.std()) == pytest.approx(NOISE_MM, rel=0.08)


def test_two_turns_take_a_slow_line_for_a_sine() -> None:
    heights = {2: 4, 3: 20}
    for turns, most in heights.items():
        found = posterior(0.41, turns=turns)
        _, counts = np.unique(found.order, return_counts=True)
        # Four heights of the line alone; with three turns five heights of its multiples to each.
        assert counts.max() <= most
    assert counts.max() > 4


def test_other_lines_are_held_at_their_frequency() -> None:
    sweep = lined(0.41)
    second = 2.0 * NOISE_MM * np.cos(3.6 * sweep.angle_rad)
    lines = [Line(0.41, 3 * NOISE_MM, 0.0), Line(3.6, 2 * NOISE_MM, 0.0)]
    found = frequency_posterior(sweep.angle_rad, sweep.reading_mm + second, sweep.t_s, 15, lines, turns=3.0)
    assert float(found.residual_mm.std()) == pytest.approx(NOISE_MM, rel=0.08)
