"""What is fitted follows from turns, places and where the angles come from."""

import pytest

from analysis.harmonics.plan import FitPlan


@pytest.mark.parametrize(
    ("plan", "drift", "lines", "one_turn"),
    [
        (FitPlan(15, 1), False, False, True),
        (FitPlan(15, 2), True, True, False),
        (FitPlan(15, 2, even_angles=False), True, False, False),
        (FitPlan(3, 1, few_places=True), False, False, False),
        (FitPlan(3, 2, few_places=True), False, False, False),
    ],
)
def test_only_several_turns_of_many_places_tell_what_moves(
    plan: FitPlan, drift: bool, lines: bool, one_turn: bool
) -> None:
    assert (plan.drift, plan.lines, plan.one_turn) == (drift, lines, one_turn)
