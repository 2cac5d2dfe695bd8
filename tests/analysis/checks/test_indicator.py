"""Checks of the indicator: its buttons, lag and play."""

import math
from dataclasses import replace

import pytest
from made_evidence import captured, checked, evidence, state

from analysis.capture.events import TimedEvent, UnitChanged
from analysis.checks import run_checks
from analysis.diagnosis.hysteresis import Hysteresis
from analysis.diagnosis.jumps import Jump, JumpKind
from analysis.diagnosis.lag import GaugeLag, LagSource

TAU_MAX_S = 0.150


def late(
    turned_deg: float, u_deg: float, *, most_deg: float | None = None, source: LagSource = LagSource.SPEEDS
) -> GaugeLag:
    """Return a lag that turned the part so far at the speed at which its latest would by ``most_deg``."""
    if most_deg is not None:
        return GaugeLag(LagSource.NOT_KNOWN, 0.0, 0.0, math.radians(most_deg) / TAU_MAX_S, TAU_MAX_S)
    return GaugeLag(source, math.radians(turned_deg), math.radians(u_deg), 1.0)


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

    @pytest.mark.parametrize(("may_deg", "begins"), [(4.99, "clear"), (5.01, "doubtful")])
    def test_what_no_speed_change_shows_is_said_and_doubtful_from_5_deg(
        self, may_deg: float, begins: str
    ) -> None:
        found = checked(evidence(lag=late(0.0, 0.0, most_deg=may_deg)), "lag")
        assert found.state == begins
        assert f"how late the gauge is: up to 150 ms would be {may_deg:.1f} deg at this speed" in found.text

    def test_a_lag_that_was_found_and_turned_back_is_clear_below_5_deg(self) -> None:
        found = checked(evidence(lag=late(4.9, 0.2)), "lag")
        assert found.state == "clear"
        assert "angles were turned back by 4.9 deg" in found.text

    def test_from_5_deg_it_is_doubtful(self) -> None:
        assert state(evidence(lag=late(5.1, 0.2)), "lag") == "doubtful"

    def test_a_declared_one_is_clear_however_far_it_turns(self) -> None:
        declared = late(20.0, 0.2, source=LagSource.SETUP)
        assert state(evidence(lag=declared), "lag") == "clear"

    def test_one_that_is_declared_too_widely_is_doubtful(self) -> None:
        declared = late(1.0, 5.1, source=LagSource.SETUP)
        assert "leaves 5.1 deg unsure" in checked(evidence(lag=declared), "lag").text

    def test_one_that_contradicts_the_set_up_is_doubtful(self) -> None:
        found = checked(evidence(lag=replace(late(1.2, 0.1), disagrees=True)), "lag")
        assert found.state == "doubtful"
        assert "its set-up says otherwise" in found.text

    def test_readings_taken_standing_are_never_late(self) -> None:
        assert "lag" not in [check.name for check in run_checks(evidence(lag=GaugeLag()))]

    def test_play_that_chance_explains_is_none(self) -> None:
        assert state(evidence(hysteresis=Hysteresis(0.0099, 0.002, 50)), "backward-forward") == "clear"

    def test_play_within_two_steps_is_none(self) -> None:
        coarse = replace(evidence().gauge, resolution_mm=0.01)
        assert (
            state(evidence(hysteresis=Hysteresis(0.0199, 0.0, 50), gauge=coarse), "backward-forward")
            == "clear"
        )
