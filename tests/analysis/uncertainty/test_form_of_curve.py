"""Form of a fitted curve: order 1 out, bias out, its interval holds the truth."""

import numpy as np
import pytest
from intervals import known
from made_sweeps import made, sum_of, wobble
from scipy.stats import binom
from simulated_sweeps import draw_part

from analysis.harmonics import HarmonicFit
from analysis.numerics import extremes
from analysis.uncertainty.tir_limits import form_limits, without_order_one

NOISE_MM = 0.001


def oval(size_mm: float):
    return lambda deg: np.asarray(size_mm * np.cos(2 * np.radians(deg - 20.0)))


def test_without_noise_the_form_is_that_of_the_orders_from_two_on() -> None:
    found = known(made(sum_of(wobble(0.1), oval(0.004)))).form_by_scatter
    assert found.value == pytest.approx(0.008, rel=1e-6)
    assert found.interval() == pytest.approx((0.008, 0.008), rel=1e-5)


def test_a_plain_wobble_may_have_no_form_at_all() -> None:
    sweep = known(made(wobble(0.1), noise_mm=NOISE_MM))
    found = sweep.form_by_scatter
    plain = extremes(np.r_[0.0, sweep.fit.cos_mm[1:]], np.r_[0.0, sweep.fit.sin_mm[1:]]).tir_mm
    # Noise alone gives the fitted curve some height; half of it and more is taken off.
    assert found.interval()[0] == 0.0
    assert found.value < 0.6 * plain


def test_how_order_one_is_known_does_not_count() -> None:
    # The same readings, the first order ten times as high: the form stays.
    low, high = (known(made(sum_of(wobble(each), oval(0.004)), noise_mm=NOISE_MM)) for each in (0.1, 1.0))
    assert high.form_by_scatter.interval() == pytest.approx(low.form_by_scatter.interval(), rel=0.01)


def test_the_interval_holds_the_form_of_the_part() -> None:
    held, tried = 0, 40
    for seed in range(tried):
        cos, sin = draw_part(np.random.default_rng([41, seed]), 0.005)
        truth = extremes(np.r_[0.0, cos[1:]], np.r_[0.0, sin[1:]]).tir_mm

        def shape(deg: np.ndarray, cos: np.ndarray = cos, sin: np.ndarray = sin) -> np.ndarray:
            phi = np.multiply.outer(np.radians(deg), np.arange(1, len(cos) + 1))
            return np.asarray(np.cos(phi) @ cos + np.sin(phi) @ sin)

        found = known(made(shape, per_turn=240, noise_mm=NOISE_MM, seed=seed), seed=seed).form_by_scatter
        low, high = found.interval()
        held += low <= truth <= high
    # A share of 93 % would hold so few in fewer than one of 10,000 sets.
    assert binom.cdf(held, tried, 0.93) > 1e-4


def test_the_form_is_decided_by_its_own_ends() -> None:
    found = known(made(sum_of(wobble(0.1), oval(0.004)), noise_mm=NOISE_MM)).form_by_scatter
    low, high = found.one_sided()
    two = found.interval()
    assert two[0] < low < found.value < high < two[1]


def test_turns_that_stand_opposite_one_another_take_no_form_away() -> None:
    # Turns of a line near half a turn differ by far more than their mean is off: draws far too wide.
    rng = np.random.default_rng(2)
    size_mm = np.array([0.010, 0.0, 0.0, 0.001, 0.0005, 0.0])
    fit = HarmonicFit(3, 0.0, None, size_mm[0::2], size_mm[1::2], np.eye(6), 0.005, 900, (), np.empty(0), 1.0)
    draws = rng.normal(0, 0.004, (2000, 6))
    known, doubted = (
        form_limits(fit, 0.004**2 * np.eye(6), 2.0, draws, too_wide=too_wide) for too_wide in (False, True)
    )
    read = without_order_one(fit).tir_mm
    assert known.one_sided()[1] < read
    assert doubted.interval()[1] >= read
    assert doubted.one_sided()[1] >= read
    assert doubted.interval()[0] == 0.0
