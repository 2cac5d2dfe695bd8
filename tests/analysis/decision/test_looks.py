"""Several looks at one part together let no more through than one look would."""

import itertools
import math

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from analysis.decision.looks import Z_OF_PLAN, Looks, at_look, count_looks, open_boundary
from analysis.numerics import Component, UncertainNumber, normal_quantile


def test_the_factor_of_the_plan_holds_five_in_a_hundred_over_its_three_rungs() -> None:
    # Another road than the simulation: the integral of the joint normal density; means of N, 2 N and 3 N turns
    # have the correlation sqrt(m / n). Pocock 1977 prints 1.992 for three looks at 5 % on one side (from memory).
    shared = np.array([[math.sqrt(min(m, n) / max(m, n)) for m in (1, 2, 3)] for n in (1, 2, 3)])
    inside = multivariate_normal(mean=np.zeros(3), cov=shared).cdf(np.full(3, Z_OF_PLAN))
    assert 1.0 - inside == pytest.approx(0.05, abs=2e-4)


@pytest.mark.parametrize(
    ("looks", "z"), [(2, 2.19), (3, 2.28), (5, 2.39), (10, 2.53), (20, 2.66), (60, 2.86)]
)
def test_the_open_boundary_is_the_one_of_the_table(looks: int, z: float) -> None:
    assert open_boundary(looks) == pytest.approx(z, abs=0.005)


def test_looking_after_every_turn_up_to_sixty_lets_five_in_a_hundred_through() -> None:
    rng = np.random.default_rng(20261126)
    walks = np.cumsum(rng.standard_normal((20_000, 60)), axis=1) / np.sqrt(np.arange(1, 61))
    over = (walks[:, 1:] > [open_boundary(turns) for turns in range(2, 61)]).any(axis=1)
    # Four standard errors of 5 % in 20,000.
    assert float(over.mean()) < 0.05 + 4 * math.sqrt(0.05 * 0.95 / 20_000)


def test_without_a_plan_a_file_was_looked_at_after_each_turn() -> None:
    assert (count_looks(5).look, count_looks(5).planned) == (5, None)


@pytest.mark.parametrize(("turns", "look"), [(3, 1), (4, 2), (6, 2), (7, 3), (9, 3)])
def test_every_rung_of_a_plan_has_the_same_factor(turns: int, look: int) -> None:
    looks = count_looks(turns, 3)
    assert (looks.look, looks.planned, looks.z, looks.too_early) == (look, 3, Z_OF_PLAN, False)


def test_after_the_last_rung_the_boundary_is_open() -> None:
    assert count_looks(10, 3).z == open_boundary(10)


def test_before_the_first_rung_it_is_too_early() -> None:
    assert count_looks(2, 3).too_early


@pytest.mark.parametrize("turns_planned", [None, 3])
def test_earlier_recordings_go_on_counting_and_never_make_it_cheaper(turns_planned: int | None) -> None:
    each = [count_looks(3, turns_planned, before) for before in range(8)]
    assert [looks.look - each[0].look for looks in each] == list(range(8))
    assert all(earlier.z <= later.z for earlier, later in itertools.pairwise(each))


@pytest.mark.parametrize("dof", [2.0, 8.0, math.inf])
def test_a_look_widens_the_limits_and_leaves_the_interval(dof: float) -> None:
    number = UncertainNumber(1.0, {"scatter": Component(0.1, dof)})
    looked = at_look(number, count_looks(5), dof)
    assert looked.interval() == number.interval()
    assert looked.one_sided()[1] > number.one_sided()[1]


def test_at_one_look_nothing_changes() -> None:
    number = UncertainNumber(1.0, {"scatter": Component(0.1)})
    looked = at_look(number, Looks(1, 1, normal_quantile(0.95), 1), math.inf)
    assert looked.one_sided() == pytest.approx(number.one_sided(), rel=1e-12)
