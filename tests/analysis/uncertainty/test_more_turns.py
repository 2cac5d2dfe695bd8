"""How many more turns would decide."""

import math

import pytest

from analysis.uncertainty.more_turns import turns_to_decide

RANDOM_MM = 0.001


def needed(room: float, fixed: float = 0.0, turns: int = 3) -> int | None:
    """Ask with half-widths in units of the random one."""
    return turns_to_decide(
        turns=turns,
        room_mm=room * RANDOM_MM,
        random_mm=RANDOM_MM,
        fixed_mm=fixed * RANDOM_MM,
        factor=lambda turns: 1.0,
    )


# Only the random part shrinks, with the root of the number of turns (closed form).
@pytest.mark.parametrize(
    ("room", "more"), [(1.01, 0), (1.0, 0), (0.99, 1), (0.5, 9), (0.0, None), (0.1, None)]
)
def test_the_root_of_the_number_of_turns_is_what_shrinks(room: float, more: int | None) -> None:
    assert needed(room) == more


def test_where_the_rest_forbids_it_no_number_decides() -> None:
    assert needed(0.9, fixed=1.0) is None


def test_the_number_asked_for_decides() -> None:
    more = needed(0.6, fixed=0.3)
    assert more is not None
    assert math.hypot(math.sqrt(3 / (3 + more)), 0.3) <= 0.6
    assert math.hypot(math.sqrt(3 / (2 + more)), 0.3) > 0.6


def test_a_look_that_costs_more_asks_for_more_turns() -> None:
    dear = turns_to_decide(turns=3, room_mm=0.5, random_mm=1.0, fixed_mm=0.0, factor=lambda turns: 1.2)
    assert dear == 15  # 3 x (1.2 / 0.5)^2 = 17.3 turns in all


def test_turns_at_which_nothing_is_looked_at_are_passed_over() -> None:
    planned = turns_to_decide(
        turns=3, room_mm=0.9, random_mm=1.0, fixed_mm=0.0, factor=lambda t: 1.0 if t >= 6 else math.inf
    )
    assert planned == 3
