"""The chance that a limit is kept, against a published example and against numerical integration."""

import pytest
from scipy import stats

from analysis.decision import conformance_probability
from analysis.numerics import Component, UncertainNumber


def test_the_published_example_of_an_upper_limit() -> None:
    """JCGM 106:2012, 7.4, example 1 (from memory): -5.47 with u 0.05 under an upper limit -5.40 gives 0.92."""
    number = UncertainNumber(-5.47, {"u": Component(0.05)})
    assert conformance_probability(number, -5.40) == pytest.approx(0.92, abs=0.005)  # two printed digits


@pytest.mark.parametrize("dof", [3.0, 12.0])
@pytest.mark.parametrize("limit", [0.02, 0.05, 0.08])
def test_few_degrees_of_freedom_give_students_t(dof: float, limit: float) -> None:
    number = UncertainNumber(0.05, {"scatter": Component(0.01, dof)})
    expected = stats.t.cdf((limit - 0.05) / 0.01, dof)
    assert conformance_probability(number, limit) == pytest.approx(expected, abs=1e-6)  # quantiles' own


def test_what_stands_on_one_side_moves_the_middle() -> None:
    play = Component(0.002, shift=0.004, one_sided=True)
    number = UncertainNumber(0.05, {"u": Component(0.001), "play": play})
    expected = stats.norm.cdf((0.056 - 0.054) / (0.001**2 + 0.002**2) ** 0.5)
    assert conformance_probability(number, 0.056) == pytest.approx(expected, abs=1e-6)
    # Below the value only what is even counts: play hides height, it never adds any.
    below = stats.norm.cdf((0.049 - 0.05) / 0.001)
    assert conformance_probability(number, 0.049) == pytest.approx(below, abs=1e-6)


def test_a_number_without_any_uncertainty_keeps_its_limit_or_not() -> None:
    number = UncertainNumber(0.05, {})
    assert [conformance_probability(number, limit) for limit in (0.05, 0.049)] == [1.0, 0.0]
