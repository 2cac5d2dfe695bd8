"""Heights turn by turn where angles are told by time."""

import math

import pytest
from intervals import known, plain

from analysis.uncertainty.uneven_turning import widen_for_uneven_turning


class TestTurnByTurn:
    """Angles told by time: heights turn by turn."""

    TURNS = (0.100, 0.103, 0.097)
    FOUND = widen_for_uneven_turning(known(plain(), other_mm=0.002), TURNS, TURNS)

    def test_the_value_is_the_mean_of_the_turns(self) -> None:
        assert self.FOUND.tir.value == pytest.approx(0.100, rel=1e-12)

    def test_the_width_is_students_over_turns_with_noise_and_the_rest(self) -> None:
        noise = 2.0 * float(known(plain()).u_amplitude_mm[0])
        u = math.hypot(0.003 / math.sqrt(3), noise)
        # t(.975, 2) = 4.303 in the usual table.
        expected = math.hypot(4.3027 * u, 1.959964 * 0.002)
        assert self.FOUND.tir.interval()[1] - self.FOUND.tir.value == pytest.approx(expected, rel=1e-4)

    def test_one_turn_less_than_there_are_is_free(self) -> None:
        assert self.FOUND.dof == 2.0

    def test_it_says_so(self) -> None:
        assert "angles told by time: heights are taken turn by turn" in self.FOUND.remarks
