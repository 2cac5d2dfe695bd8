"""Checks of sampling: direction, coverage, number and speed of the turns, and new values a turn."""

from dataclasses import replace

import pytest
from made_evidence import at_rate, captured, checked, evidence, names, state, turn, with_speeds

from analysis.capture.events import TimedEvent, UnevenTurns


class TestTurning:
    """Direction, coverage, number and speed of the turns."""

    def test_turns_the_other_way_are_told(self) -> None:
        assert state(evidence(other_direction=1), "direction") == "doubtful"

    def test_turning_against_the_angle_is_no_doubt(self) -> None:
        assert (
            checked(evidence(turns=[turn(direction=-1)]), "direction").text
            == "all turns against growing angle"
        )

    def test_a_turn_left_out_is_told(self) -> None:
        found = checked(evidence(refused_turns=["turn 2 is left out: a gap of 40 deg"]), "coverage")
        assert (found.state, found.text) == ("doubtful", "turn 2 is left out: a gap of 40 deg")

    def test_a_gap_by_windows_left_out_says_so(self) -> None:
        assert (
            "where windows are left out"
            in checked(evidence(turns=[turn(largest_gap_deg=20.0)], windows_left_out=1), "coverage").text
        )

    def test_turns_too_fast_for_the_gauge_cover_together(self) -> None:
        fast = evidence(turns=[turn(values=6, largest_gap_deg=60.0, rpm=97.0)], together_gap_deg=8.0)
        assert state(fast, "coverage") == "clear"

    def test_a_single_turn_is_doubtful(self) -> None:
        assert state(evidence(turns=[turn()]), "turns") == "doubtful"

    def test_two_turns_are_not(self) -> None:
        assert state(evidence(turns=[turn(), turn(turn=1)]), "turns") == "clear"

    def test_turns_without_times_have_no_speed(self) -> None:
        assert "speed" not in names(with_speeds(0.0, 0.0))

    def test_turns_left_out_for_being_uneven_are_told(self) -> None:
        given = evidence(capture=captured(events=(TimedEvent(None, UnevenTurns(2)),)))
        assert state(given, "speed") == "doubtful"


class TestGaugeRate:
    """Fifteen orders are carried by the values and places of all turns; fewer than five are too few."""

    @pytest.mark.parametrize(
        ("orders", "begins"), [(15, "clear"), (14, "doubtful"), (5, "doubtful"), (4, "refused")]
    )
    def test_so_many_orders_are_carried(self, orders: int, begins: str) -> None:
        assert state(at_rate(50, 12.0, more=0.3, highest_order=orders), "gauge-rate") == begins

    def test_a_gauge_that_beats_with_the_turning_is_told_its_places(self) -> None:
        found = checked(at_rate(6, 100.0, highest_order=2), "gauge-rate")
        assert found.state == "refused"
        assert "sees only 6 places, turn after turn" in found.text

    def test_it_is_told_which_speeds_would_fill_the_turn(self) -> None:
        assert checked(at_rate(6, 100.0, highest_order=2), "gauge-rate").do.startswith("97 or 103 rpm")

    def test_too_few_places_are_counted(self) -> None:
        few = at_rate(15, 9.7, more=0.4, highest_order=2, places=30)
        assert "15 new values a turn, 30 different places in all" in checked(few, "gauge-rate").text

    def test_readings_without_times_have_no_rate(self) -> None:
        given = replace(at_rate(20, 30.0), capture=captured(timed=False))
        assert "gauge-rate" not in names(given)
