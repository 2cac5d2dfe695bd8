"""Checks of the indicator: its buttons, lag and play."""

from dataclasses import replace

import pytest
from made_evidence import captured, checked, evidence, state

from analysis.capture.events import TimedEvent, UnitChanged
from analysis.diagnosis.hysteresis import Hysteresis
from analysis.diagnosis.jumps import Jump, JumpKind
from analysis.diagnosis.lag import Lag


class TestButtonsAndStand:
    """Steps in time, each under the name of who made it."""

    @pytest.mark.parametrize(
        ("kind", "name", "words"),
        [
            (JumpKind.UNIT, "unit", "somebody pressed in/mm on the indicator"),
            (JumpKind.ZERO, "unit", "somebody pressed zero on the indicator"),
            (JumpKind.STAND, "stand", "stand or gauge was knocked"),
        ],
    )
    def test_a_jump_is_refused_under_its_own_name(self, kind: JumpKind, name: str, words: str) -> None:
        found = checked(evidence(jump=Jump(5.0, 0.2, kind)), name)
        assert found.state == "refused"
        assert words in found.text

    @pytest.mark.parametrize(
        ("kind", "other"), [(JumpKind.UNIT, "stand"), (JumpKind.ZERO, "stand"), (JumpKind.STAND, "unit")]
    )
    def test_and_not_under_another(self, kind: JumpKind, other: str) -> None:
        assert state(evidence(jump=Jump(5.0, 0.2, kind)), other) == "clear"

    def test_a_new_unit_on_the_lines_is_refused(self) -> None:
        given = evidence(capture=captured(events=(TimedEvent(None, UnitChanged("mm", "in")),)))
        assert "changed from mm to in" in checked(given, "unit").text


@pytest.mark.parametrize(("share", "begins"), [(0.0299, "clear"), (0.0301, "refused")])
def test_readings_out_of_range_for_as_much_of_a_turn_lose_the_tip(share: float, begins: str) -> None:
    assert state(evidence(out_of_range_share=share), "tip") == begins


class TestGaugeBehaviour:
    """Lag and play."""

    def test_a_lag_that_chance_explains_is_none(self) -> None:
        assert state(evidence(lag=Lag(0.1, 0.03, 1.0)), "lag") == "clear"

    def test_even_turning_does_not_tell_the_lag(self) -> None:
        assert "turned too evenly" in checked(evidence(lag=Lag(0.01, 0.1, 1.0)), "lag").text

    def test_play_that_chance_explains_is_none(self) -> None:
        assert state(evidence(hysteresis=Hysteresis(0.0099, 0.002, 50)), "backward-forward") == "clear"

    def test_play_within_two_steps_is_none(self) -> None:
        coarse = replace(evidence().gauge, resolution_mm=0.01)
        assert (
            state(evidence(hysteresis=Hysteresis(0.0199, 0.0, 50), gauge=coarse), "backward-forward")
            == "clear"
        )
