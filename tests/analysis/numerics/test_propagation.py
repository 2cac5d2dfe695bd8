"""Uncertainty carried on: the law of propagation, and counting draws."""

import numpy as np
import pytest

from analysis.numerics.propagation import coverage_interval, propagate

C = np.array([[4.0, 1.0], [1.0, 9.0]])


def test_a_sum_has_both_variances_and_twice_the_covariance() -> None:
    assert float(propagate([1.0, 1.0], C)) == 15.0


def test_a_difference_has_both_variances_less_twice_the_covariance() -> None:
    assert float(propagate([1.0, -1.0], C)) == 11.0


def test_several_functions_have_a_covariance() -> None:
    """JCGM 100:2008, 5.2.2: rows (1, 1) and (1, -1); covariance of sum and difference is 4 - 9."""
    assert propagate([[1.0, 1.0], [1.0, -1.0]], C).tolist() == [[15.0, -5.0], [-5.0, 11.0]]


def test_it_is_what_draws_show() -> None:
    draws = np.random.default_rng(1).multivariate_normal([0, 0], C, 200_000) @ np.array([0.3, -2.0])
    # A variance of 200,000 draws: sqrt(2 / N) = 0.3 % of itself, three of them.
    assert np.var(draws) == pytest.approx(float(propagate([0.3, -2.0], C)), rel=0.0095)


def test_the_interval_leaves_out_as_many_draws_on_either_side() -> None:
    draws = np.random.default_rng(1).exponential(size=999)
    low, high = coverage_interval(draws)
    assert int((draws < low).sum()) == int((draws > high).sum()) == 25


@pytest.mark.parametrize("coverage", [0.5, 0.9, 0.95])
def test_the_interval_holds_the_share_asked_for(coverage: float) -> None:
    low, high = coverage_interval(np.linspace(0.0, 1.0, 1001), coverage)
    assert high - low == pytest.approx(coverage, abs=1e-12)


def test_a_skew_quantity_has_a_skew_interval() -> None:
    low, high = coverage_interval(np.random.default_rng(1).exponential(size=100_000))
    # -ln(.975) and -ln(.025) of an exponential quantity (closed form). One deviation of a counted quantile is
    # sqrt(.025 x .975 / 1e5) over the density there: 0.0005 and 0.02.
    assert low == pytest.approx(0.0253, abs=0.0015)
    assert high == pytest.approx(3.6889, abs=0.06)
