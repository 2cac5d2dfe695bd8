"""The 95 % intervals of the TIR hold the truth as often as they say: 200 fixed seeds each, three turns.

The conditions and their goals are the plan's; 2, 5 and 10 turns, and 1,000 sweeps, run by name
(tests/campaigns/honesty.py). Two standard deviations of 200 trials at 95 % are 3.1 %.
"""

import pytest
from simulated_sweeps import CONDITIONS, measure

SWEEPS = 200
TURNS = 3
AT_LEAST = ("no runout", "very coarse")
"""Where the truth is 0, or noise is under 0.3 steps, the goal is 95 % or more: no upper bound."""
WIDEST = {"slow gauge and ball-pass": 1.8, "no runout": 1.5, "very coarse": 10.0}
"""Mean width against Cramer and Rao's; very coarse readings are limited by their step, not by noise."""


@pytest.mark.parametrize("name", CONDITIONS)
def test_the_interval_holds_the_truth_as_often_as_it_says(name: str) -> None:
    tally = measure(name, TURNS, range(SWEEPS))
    print(tally.row(name, TURNS))
    assert 100.0 * tally.held / tally.sweeps >= (93.0 if name in AT_LEAST else 91.5)
    if name not in AT_LEAST:
        assert 100.0 * tally.held / tally.sweeps <= 98.5
    assert tally.width / tally.reference <= WIDEST.get(name, 1.5)
    # Decisions at the limit: a wrong acceptance happens when the one-sided upper limit lies under the truth.
    assert 100.0 * tally.high_held / tally.sweeps >= 91.9
    assert 100.0 * tally.low_held / tally.sweeps >= 91.9
