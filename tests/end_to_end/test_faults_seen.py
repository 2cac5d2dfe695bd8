"""Each fault of the virtual bench raises its own check and no other refusal; where nothing is wrong, nothing is.

One sweep of as-found each, of one seed; the campaign of many seeds runs by name.
"""

import pytest

from analysis.results import SweepResult
from analysis.sweep.pipeline import analyse
from logger.inputs.loading import load_sweep
from logger.practice.bench.faults import FAULTS

NEED_A_PAIR = ("late", "hysteresis")
"""Two speeds or both ways tell them for certain; one sweep may or may not."""
SEEN = [name for name, fault in FAULTS.items() if fault.check and name not in NEED_A_PAIR]
CLEAN = [
    "wind-pump/as-found",
    "wind-pump/mount-1",
    "wind-pump/mount-2",
    "wind-pump/half-turn-before",
    "wind-pump/after-cut",
    "wind-pump/half-turn-after",
    "wind-pump/as-left",
    "bicycle-disc/hub",
    "potters-wheel/as-found",
]


def result_of(name: str, fault: str | None = None) -> SweepResult:
    return analyse(load_sweep(f"practice:{name}", {}, seed=2, fault=fault).capture)


def states(result: SweepResult) -> dict[str, str]:
    """Return the checks that are not clear."""
    return {check.name: check.state for check in result.checks if check.state != "clear"}


def refused(result: SweepResult) -> set[str]:
    return {check.name for check in result.checks if check.state == "refused"}


@pytest.mark.parametrize("fault", SEEN)
def test_a_fault_raises_its_own_check_and_no_other_refusal(fault: str):
    result = result_of("wind-pump/as-found", fault)
    own = FAULTS[fault].check
    assert own in states(result)
    assert refused(result) <= {own}
    # Whoever is told of a fault is told what to do about it.
    assert all(check.do for check in result.checks if check.state != "clear")
    # Whatever is refused, nothing is decided: and where nothing is, the part is over, as it is without it.
    assert result.decision is not None
    assert result.decision.state == ("undecided" if refused(result) else "over")


@pytest.mark.parametrize("fault", NEED_A_PAIR)
def test_a_fault_that_needs_a_pair_refuses_nothing(fault: str):
    assert refused(result_of("wind-pump/as-found", fault)) == set()


def test_numbers_that_wrap_are_no_fault():
    result = result_of("wind-pump/as-found", "wrap")
    assert states(result) == {}
    assert len(result.turns) == 5


@pytest.mark.parametrize("name", CLEAN)
def test_where_nothing_is_wrong_nothing_is_raised(name: str):
    assert states(result_of(name)) == {}
