"""How many more turns would decide."""

import math

from intervals import known, plain

from analysis.uncertainty.more_turns import turns_to_decide


class TestMoreTurns:
    """Only the random part shrinks, with the root of the number of turns."""

    FOUND = known(plain())
    LOW, HIGH = FOUND.random.one_sided

    def limit(self, halves: float) -> float:
        return self.FOUND.tir.value + halves * self.HIGH

    def test_a_limit_outside_asks_for_none(self) -> None:
        assert turns_to_decide(self.FOUND, self.limit(1.01)) == 0

    def test_half_the_room_asks_for_four_times_the_turns(self) -> None:
        assert turns_to_decide(self.FOUND, self.limit(0.5)) == 9  # twelve in all

    def test_a_limit_just_inside_asks_for_one(self) -> None:
        assert turns_to_decide(self.FOUND, self.limit(0.99)) == 1

    def test_below_the_value_the_lower_side_counts(self) -> None:
        limit = self.FOUND.tir.value - 0.5 * self.LOW
        assert turns_to_decide(self.FOUND, limit) == 9

    def test_at_the_value_itself_no_number_decides(self) -> None:
        assert turns_to_decide(self.FOUND, self.FOUND.tir.value) is None

    def test_more_than_a_hundred_are_not_asked_for(self) -> None:
        assert turns_to_decide(self.FOUND, self.limit(0.1)) is None

    def test_where_the_rest_forbids_it_no_number_decides(self) -> None:
        assert turns_to_decide(known(plain(), other_mm=self.HIGH), self.limit(0.9)) is None

    def test_the_number_asked_for_decides(self) -> None:
        needed = turns_to_decide(self.FOUND, self.limit(0.6))
        assert needed is not None
        shrunk = self.HIGH * math.sqrt(3 / (3 + needed))
        assert shrunk <= 0.6 * self.HIGH
