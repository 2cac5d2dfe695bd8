"""Preparing on the screen: the 20-second check, the encoder learnt, the certificate, prompted typing."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hands import Hand, seat_by_hand
from other_gauges import in_pieces
from screens import Seat, lines_seat, practice_seat

from analysis.capture.events import CheckDone, MarkTouched, ReadingsTyped
from analysis.errors import BadInput

READINGS = {"rig.line.pattern": r"^(?P<time>\d+) (?P<reading>-?\d+\.\d+)$"}
APART_S = 0.02


def gauge_that(folder: Path, height_mm: Callable[[float], float], seconds: float = 24.0) -> Seat:
    """Return a seat at a gauge whose reading is a function of the time."""
    rng = np.random.default_rng(3)
    times = np.arange(0.0, seconds, APART_S)
    noise = np.round(rng.normal(0.0, 0.0004, len(times)), 3)
    lines = [
        (float(t), f"{round(t * 1e6)} {height_mm(float(t)) + e:.3f}\n")
        for t, e in zip(times, noise, strict=True)
    ]
    return lines_seat(folder, in_pieces(lines), READINGS, {})


def until(seat: Seat, at_s: float) -> None:
    seat.go(at_s - (seat.clock.now_s - 100.0), analyse=False)


def press_at(seat: Seat, at_s: float) -> None:
    until(seat, at_s)
    seat.console.key("space", seat.clock.now_s)
    seat.go(0.1, analyse=False)


def check(seat: Seat, shim: str = "0.5 mm") -> list[tuple[str, str]]:
    """Walk through the check; return (name, state) of each part, from the recording's own events."""
    seat.go(1.0)
    seat.press("2", "up", "up", "space")
    press_at(seat, 7.0)  # still, four seconds
    for at_s in (12.5, 14.5, 17.0, 20.5):  # tap, lift, sense while it is pushed, shim under the tip
        press_at(seat, at_s)
    seat.enter(shim)
    events = [item[0] for item in seat.console.runtime.session._events]
    return [(one.name, one.state) for one in events if isinstance(one, CheckDone)]


def gauge_in_order(t: float) -> float:
    if 11.5 < t < 11.6:
        return 0.050  # tapped
    if 13.5 < t < 13.9:
        return -0.800  # lifted
    if 16.0 < t < 17.5:
        return 0.200  # pushed in
    return 0.500 if t > 19.0 else 0.0


def test_a_gauge_in_order_passes_all_five_and_each_result_is_recorded(tmp_path: Path) -> None:
    seat = gauge_that(tmp_path, gauge_in_order)
    assert check(seat) == [(name, "clear") for name in ("still", "tap", "lift", "sense", "shim")]
    text = seat.text()
    assert "pushed in reads +0.2" in text
    assert "a shim of 0.5000 mm reads 0.5" in text
    assert "SPACE: back to the set-up" in text
    seat.close()


@pytest.mark.parametrize(
    ("wrong", "name", "state", "words"),
    [
        (lambda t: gauge_in_order(t) + 0.004 * min(t, 11.2), "still", "doubtful", "tighten the stand"),
        (lambda t: gauge_in_order(t) + (0.010 if t > 11.5 else 0.0), "tap", "doubtful", "tighten clamps"),
        (lambda t: gauge_in_order(t) + (0.010 if t > 13.7 else 0.0), "lift", "doubtful", "square it"),
        (lambda t: -gauge_in_order(t), "sense", "refused", "high and low would be exchanged"),
        (lambda t: gauge_in_order(t) / (25.4 if t > 19.0 else 1.0), "shim", "refused", "25.4 times too"),
    ],
)
def test_what_is_wrong_is_told_with_the_one_thing_to_do(
    tmp_path: Path, wrong: Callable[[float], float], name: str, state: str, words: str
) -> None:
    seat = gauge_that(tmp_path, wrong)
    assert (name, state) in check(seat)
    assert words in " ".join(seat.text().split())
    seat.close()


def test_a_push_on_the_tip_during_the_check_is_no_button_of_the_indicator(tmp_path: Path) -> None:
    seat = gauge_that(tmp_path, gauge_in_order)
    check(seat)
    assert seat.console.runtime.state.sweep.broken == ""
    seat.close()


def test_the_shim_may_be_left_out(tmp_path: Path) -> None:
    seat = gauge_that(tmp_path, gauge_in_order)
    assert check(seat, "")[-1] == ("shim", "doubtful")
    assert "left out" in seat.text()
    seat.close()


def test_a_thickness_without_a_unit_is_refused(tmp_path: Path) -> None:
    seat = gauge_that(tmp_path, gauge_in_order)
    with pytest.raises(BadInput, match="no unit"):
        check(seat, "0.5")
    seat.close()


def test_a_certificate_is_taken_off_and_shown_as_a_step_of_its_own(tmp_path: Path) -> None:
    # A gauge that reads a hundredth too much of every length: the certificate takes it off again.
    plain = practice_seat(tmp_path / "plain")
    plain.turn(1)
    corrected = practice_seat(tmp_path / "corrected", override={"gauge_table": "0:0 10:+0.1 mm"})
    corrected.turn(1)
    before, after = (
        plain.console.runtime.state.sweep.turns[-1].result,
        corrected.console.runtime.state.sweep.turns[-1].result,
    )
    assert after.tir_raw_mm == pytest.approx(before.tir_raw_mm * 0.99, rel=1e-9)  # a straight table: exact
    corrected.press("6")
    found = [one for one in corrected.console.controller._found() if one.term == "gauge_table"]  # type: ignore[attr-defined]
    assert found[0].value == "2 points taken off"
    assert "true = shown - error" in found[0].show_me[0]
    plain.close()
    corrected.close()


def learn(hand: Hand, seat: Seat, turns: int, counts_per_turn: int) -> None:
    """Press each time the mark stands under the tip."""
    hand.rpm = 8.0
    seat.press("2", "up", "space")
    for _ in range(turns + 1):
        count = seat.console.runtime.session_tap.count
        assert count is not None
        wanted = (count // counts_per_turn + 1) * counts_per_turn
        for _ in range(2000):
            seat.go(0.02, analyse=False)
            if (seat.console.runtime.session_tap.count or 0) >= wanted:
                break
        hand.rpm = 0.0
        seat.go(1.2, analyse=False)
        seat.console.key("space", seat.clock.now_s)
        seat.go(0.1, analyse=False)
        hand.rpm = 8.0


def test_a_learnt_encoder_is_used_with_its_uncertainty_and_kept_for_the_rig(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    learn(hand, seat, 4, 2400)
    assert "sense +1" in seat.text()
    seat.press("right")
    seat.go(0.2)
    text = seat.console.runtime.session.setup.text
    # Pressed within a reading or two of the mark: a tenth of a degree is 0.7 counts.
    assert float(text["counts_per_turn"]) == pytest.approx(2400.0, abs=3.0)
    assert float(text["u_counts_per_turn"]) > 0.0
    rig = (tmp_path / "config" / "setups" / "rig-board-51ab0001.toml").read_text()
    assert "counts_per_turn" in rig
    assert "2 Set-up" in seat.text()
    seat.close()


def test_fewer_than_three_passings_teach_nothing(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    learn(hand, seat, 1, 2400)
    seat.press("right")
    assert "at least three times first" in seat.text()
    assert "counts_per_turn" not in seat.console.runtime.session.setup.text
    seat.close()


def test_turns_that_do_not_agree_are_told(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.go(1.0)
    seat.press("2", "up", "space", "space", "space", "space", "space")
    controller = seat.console.controllers["learn"]
    controller.counts = [0, 2400, 3000]  # type: ignore[attr-defined]
    assert "the turns do not agree" in seat.text()
    seat.close()


NUMBER_PAD = {".": "decimal", "-": "subtract", "+": "add", ",": "separator"}


def type_all(seat: Seat, readings: list[str]) -> None:
    """Type readings on the number pad, Enter after each, as fast as a hand can."""
    for reading in readings:
        for character in reading:
            seat.clock.now_s += 0.1
            seat.console.key(NUMBER_PAD.get(character, character), seat.clock.now_s)
        seat.clock.now_s += 0.1
        seat.console.key("enter", seat.clock.now_s)
    seat.go(0.1)


@pytest.mark.parametrize(("line", "places"), [(0, 4), (1, 6), (2, 8), (3, 12), (4, 6)])
def test_readings_are_typed_at_4_6_8_12_places_or_the_holes(tmp_path: Path, line: int, places: int) -> None:
    seat = practice_seat(tmp_path, override={"holes": "6", "limit": ""})
    seat.go(0.5)
    seat.press("t", *["down"] * line, "space")
    assert f"place 1 of {places}" in seat.text()
    readings = [f"{0.05 * np.cos(2 * np.pi * k / places):.3f}" for k in range(places)]
    type_all(seat, readings)
    assert "back at the start (0 deg" in seat.text()
    type_all(seat, [readings[0]])
    text = " ".join(seat.text().split())
    assert "0.100 mm" in text
    events = [one[0] for one in seat.console.runtime.session._events]
    (typed,) = [one.readings for one in events if isinstance(one, ReadingsTyped)]
    assert typed.startswith(f"0:{readings[0]} ")
    seat.close()


def test_typed_readings_are_drawn_as_they_come(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.go(0.5)
    seat.press("t", "space")
    points = []
    for reading in ("0", "0.3", "-0.2"):
        type_all(seat, [reading])
        points.append(sum("⠀" < c <= "⣿" for c in seat.text()))
    assert points == sorted(points)
    assert points[0] < points[-1]
    seat.close()


def test_while_readings_are_typed_digits_are_no_pages_and_letters_no_commands(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.go(0.5)
    seat.press("t", "space", "1", "2")
    assert "Typed readings" in seat.text()
    assert "12_" in seat.text()
    seat.press(*"abcdefghijklmnopqrstuvwxyz", "f1", "up")
    assert "Typed readings" in seat.text()
    assert "12_" in seat.text()
    assert not seat.console.over
    assert [one for one in seat.console.runtime.session._events if isinstance(one[0], MarkTouched)] == []
    seat.press("escape")
    assert "Typed readings" not in seat.text()
    seat.close()


def test_the_button_takes_a_typed_reading_as_enter_does(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.go(0.5)
    seat.press("t", "space", "5")
    seat.source.bench.press(1, seat.source.bench.now_us + 1000)  # type: ignore[attr-defined]
    seat.go(0.5)
    assert "place 2 of 4" in seat.text()
    seat.close()


def test_a_typed_reading_is_taken_back_with_backspace(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.go(0.5)
    seat.press("t", "space", "5", "enter")
    assert "place 2 of 4" in seat.text()
    seat.press("backspace")
    assert "place 1 of 4" in seat.text()
    assert "5_" in seat.text()
    seat.close()
