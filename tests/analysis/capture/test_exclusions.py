"""What a person left out and took back, turns and windows."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.capture.events import (
    Event,
    ExclusionUndone,
    SweepBroken,
    TimedEvent,
    TurnExcluded,
    WindowExcluded,
)
from analysis.capture.exclusions import Window, in_force, reason_left_out, windows_of_events
from analysis.capture.turns import Turn

TURN = Turn(0, 1, 0, np.arange(3), start_s=10.0, end_s=16.0)
KEYWAY = WindowExcluded(id=1, from_deg=40.0, to_deg=52.0, reason="keyway")
KNOCKED = TurnExcluded(id=2, from_s=12.0, to_s=14.0, reason="knocked")


def noted(*events: Event) -> list[TimedEvent]:
    """Return events whose time does not matter."""
    return [TimedEvent(None, event) for event in events]


def test_a_window_left_out_is_one_with_its_reason() -> None:
    assert windows_of_events(noted(KEYWAY)) == (Window(40.0, 52.0, "keyway"),)


def test_a_turn_left_out_is_no_window() -> None:
    assert windows_of_events(noted(KNOCKED)) == ()


def test_what_was_taken_back_counts_again() -> None:
    assert windows_of_events(noted(KEYWAY, ExclusionUndone(1))) == ()


def test_taking_one_back_leaves_the_others_out() -> None:
    assert list(in_force(noted(KEYWAY, KNOCKED, ExclusionUndone(1)))) == [KNOCKED]


def test_what_has_no_number_cannot_be_taken_back() -> None:
    unnumbered = replace(KEYWAY, id=None)
    assert list(in_force(noted(unnumbered, ExclusionUndone(1)))) == [unnumbered]


def test_a_turn_is_left_out_by_its_middle() -> None:
    assert reason_left_out(TURN, noted(KNOCKED)) == "knocked"


@pytest.mark.parametrize(("start_s", "end_s"), [(0.0, 12.9), (13.1, 20.0)])
def test_a_turn_whose_middle_lies_outside_counts(start_s: float, end_s: float) -> None:
    assert reason_left_out(TURN, noted(replace(KNOCKED, from_s=start_s, to_s=end_s))) is None


def test_a_window_leaves_no_turn_out() -> None:
    assert reason_left_out(TURN, noted(KEYWAY)) is None


def test_a_turn_taken_back_counts_again() -> None:
    assert reason_left_out(TURN, noted(KNOCKED, ExclusionUndone(2))) is None


def test_a_turn_begun_before_the_sweep_was_broken_counts_no_more() -> None:
    events = [TimedEvent(11.0, SweepBroken("zero was set"))]
    assert reason_left_out(TURN, events) == "it began before zero was set"


def test_a_turn_begun_after_the_sweep_was_broken_counts() -> None:
    assert reason_left_out(TURN, [TimedEvent(9.0, SweepBroken())]) is None


def test_the_last_break_is_the_one_that_counts() -> None:
    broken = [TimedEvent(3.0, SweepBroken()), TimedEvent(11.0, SweepBroken())]
    assert reason_left_out(TURN, broken) == "it began before the sweep was broken"


def test_what_was_left_out_without_a_word_says_so() -> None:
    assert windows_of_events(noted(WindowExcluded(from_deg=1.0, to_deg=2.0))) == (
        Window(1.0, 2.0, "left out"),
    )
