"""The 95 % intervals of the TIR hold the truth as often as they say: small sets of fixed seeds, three turns.

What holds 95 % falls under these counts once in 10,000 trials. The campaign measures the figure itself: 2, 3, 5 and
10 turns, 1,000 sweeps a condition (tests/campaigns/coverage.py).
"""

import pytest
from scipy.stats import binom
from simulated_sweeps import CONDITIONS, measure

TURNS = 3
WIDEST = {"slow gauge and ball-pass": 1.8, "no runout": 1.5, "very coarse": 10.0}
"""Mean width against Cramer and Rao's; very coarse readings are limited by their step, not by noise."""
QUICK = ("white", "ball-pass")


def hold(name: str, sweeps: int) -> None:
    """Fail where the intervals of so many sweeps hold the truth too seldom, or are too wide."""
    tally = measure(name, TURNS, range(sweeps))
    print(tally.row(name, TURNS))
    least = int(binom.ppf(1e-4, sweeps, 0.95))
    assert tally.held >= least
    assert tally.width / tally.reference <= WIDEST.get(name, 1.5)
    # Decisions at the limit: a wrong acceptance happens when the one-sided upper limit lies under the truth.
    assert min(tally.high_held, tally.low_held) >= least


@pytest.mark.slow
@pytest.mark.parametrize("name", CONDITIONS)
def test_the_interval_holds_the_truth_as_often_as_it_says(name: str) -> None:
    hold(name, 60)


@pytest.mark.parametrize("name", QUICK)
def test_the_interval_holds_the_truth_in_a_few_sweeps(name: str) -> None:
    hold(name, 20)


HARD = {
    "wander": 0.93,
    "wander, turns alike": 0.90,
    "wander and ball-pass": 0.93,
    "lines 12-25": 0.95,
    "lobes": 0.95,
}
"""What intervals hold of order 1 and TIR where the axis wanders, by the campaign; what holds so
much falls under the count once in 10,000."""


@pytest.mark.slow
@pytest.mark.parametrize("name", HARD)
def test_the_interval_holds_where_turns_differ(name: str) -> None:
    sweeps = 40
    tally = measure(name, TURNS, range(sweeps))
    print(tally.row(name, TURNS))
    least = int(binom.ppf(1e-4, sweeps, HARD[name]))
    assert min(tally.held, tally.first_held) >= least


def test_the_interval_holds_with_lobes_in_a_few_sweeps() -> None:
    tally = measure("lobes", TURNS, range(12))
    assert tally.held >= int(binom.ppf(1e-4, 12, HARD["lobes"]))
    assert tally.added[1] >= 11


def test_the_interval_holds_in_a_few_sweeps_that_wander() -> None:
    tally = measure("wander", TURNS, range(16))
    assert min(tally.held, tally.first_held) >= int(binom.ppf(1e-4, 16, HARD["wander"]))
