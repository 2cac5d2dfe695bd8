"""What keys do to the measurement on the virtual bench, without any screen: keys in, text out."""

import re
from pathlib import Path

import pytest
from hands import seat_by_hand
from screens import Seat, practice_seat

from analysis.capture.events import TurnStarred
from analysis.errors import BadInput

pytestmark = pytest.mark.slow  # a bench and a worker a case

TIR = re.compile(r"TIR +(\d\.\d+) mm")


def test_there_is_a_reading_before_anything_is_asked(seat: Seat) -> None:
    seat.go(1.0)
    assert re.search(r"the indicator shows 1\.[23]", seat.text())
    assert seat.console.prompt is None


def test_there_is_no_tir_before_one_full_turn(seat: Seat) -> None:
    seat.go(4.0)
    assert TIR.search(seat.text()) is None
    assert "after one full turn" in seat.text()
    seat.turn(1)
    assert TIR.search(seat.text()) is not None


def test_the_missing_places_are_named_until_seen(seat: Seat) -> None:
    seat.go(3.0)
    assert "not yet seen: " in seat.text()
    seat.turn(1)
    assert "seen all round" in seat.text()


def test_the_answer_is_one_sentence_with_the_limit(seat: Seat) -> None:
    seat.turn(3)
    text = " ".join(seat.text().split())
    assert "Face runout 0.146 mm" in text
    assert "over the entered limit 0.050 mm" in text
    assert "over by 0.09" in text
    assert "last two turns agree within" in text


def test_space_stars_the_last_full_turn(seat: Seat) -> None:
    seat.turn(1)
    seat.press("space")
    assert "turn 1 has a star" in seat.text()
    assert "★" in seat.text()


def test_a_held_space_stars_once(seat: Seat) -> None:
    seat.turn(1)
    for _ in range(60):
        seat.clock.now_s += 0.05
        seat.console.key("space", seat.clock.now_s)
    seat.go(0.2)
    events = seat.console.runtime.session.capture().events
    assert len([one for one in events if isinstance(one.event, TurnStarred)]) == 1


def test_undo_takes_a_star_back(seat: Seat) -> None:
    seat.turn(1)
    seat.press("space")
    seat.press_twice("u")
    assert "★" not in seat.text()


def test_zero_is_of_the_display_only(seat: Seat) -> None:
    seat.go(1.0)
    seat.press("z")
    assert "zeroed" in seat.text()
    assert re.search(r"the indicator shows 1\.[23]", seat.text())
    seat.press_twice("u")
    assert "zeroed" not in seat.text()


def test_a_mark_moves_angle_zero_and_begins_the_turns_anew(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.turn(seat, 1.2)
    seat.press("m")
    assert "after one full turn" in seat.text()
    angle = seat.console.runtime.view().angle_deg
    assert angle is not None
    assert angle == pytest.approx(0.0, abs=0.2)  # a count is 0.15 deg
    hand.turn(seat, 1.1)
    assert TIR.search(seat.text()) is not None
    seat.close()


def test_the_only_mark_is_taken_back_as_if_it_never_was(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.turn(seat, 0.3)
    seat.press("m")
    session = seat.console.runtime.session
    assert session.zero_count not in (0.0, None)
    seat.press_twice("u")
    assert "mark: taken back" in seat.text()
    assert (session.zero_count, session.mark_counts("part")) == (0.0, [])
    assert "no mark touched" in seat.text()
    seat.close()


def test_a_second_mark_taken_back_leaves_the_first(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.turn(seat, 0.3)
    seat.press("m")
    first = seat.console.runtime.session.zero_count
    hand.turn(seat, 0.3)
    seat.press("m")
    assert seat.console.runtime.session.zero_count != first
    seat.press_twice("u")
    assert seat.console.runtime.session.zero_count == first
    seat.close()


def test_the_arbor_s_mark_is_touched_on_the_lathe_alone_and_taken_back(tmp_path: Path) -> None:
    _, seat = seat_by_hand(tmp_path, "wind-pump/mount-2")
    assert " A arbor " in seat.text()
    seat.press("a")
    session = seat.console.runtime.session
    assert len(session.mark_counts("arbor")) == 1
    seat.press_twice("u")
    assert session.mark_counts("arbor") == []
    seat.close()


def test_in_its_own_bearings_there_is_no_arbor_to_mark(seat: Seat) -> None:
    seat.go(1.0)
    assert " A arbor " not in seat.text()
    seat.press("a")
    assert seat.console.runtime.session.mark_counts("arbor") == []
    assert "for steps on the lathe" in seat.text()


def test_what_is_done_is_taken_back_the_last_first(seat: Seat) -> None:
    seat.turn(1)
    seat.press("z", "space", "c")
    for _ in range(3):
        seat.press_twice("u")
    seat.press("u")
    assert "nothing to take back" in seat.text()
    assert seat.console.runtime.state.display.zero_mm == 0.0
    assert "★" not in seat.text()


def test_a_window_left_out_is_taken_back(seat: Seat) -> None:
    seat.turn(1)
    seat.press("x")
    seat.enter("40:52=keyway")
    seat.press_twice("u")
    seat.analyse()
    analysis = seat.console.runtime.state.analysis
    assert analysis is not None
    assert analysis.result is not None
    assert analysis.result.left_out == ()


def test_clear_begins_high_and_low_anew_and_undo_brings_them_back(seat: Seat) -> None:
    seat.turn(1)
    before = seat.console.runtime.readout.high
    seat.press("c")
    assert seat.console.runtime.readout.high != before
    seat.press_twice("u")
    assert seat.console.runtime.readout.high == before


def test_a_turn_is_left_out_with_a_reason_and_taken_back(seat: Seat) -> None:
    seat.turn(2)
    seat.press("x")
    seat.enter("somebody leaned on the bench")
    seat.go(0.2)
    assert "turn 2 is left out: somebody leaned" in seat.text()
    result = seat.console.runtime.state.analysis
    assert result is not None
    assert result.result is not None
    assert result.result.pooled.turns == 1
    seat.press_twice("u")
    seat.go(0.2)
    again = seat.console.runtime.state.analysis
    assert again is not None
    assert again.result is not None
    assert again.result.pooled.turns == 2


def test_nothing_is_left_out_without_a_reason(seat: Seat) -> None:
    seat.turn(1)
    seat.press("x")
    with pytest.raises(BadInput, match="a reason is needed"):
        seat.enter("  ")


def test_a_window_is_left_out_with_a_reason(seat: Seat) -> None:
    seat.turn(1)
    seat.press("x")
    seat.enter("40:52=keyway")
    seat.go(0.2)
    analysis = seat.console.runtime.state.analysis
    assert analysis is not None
    assert analysis.result is not None
    assert [window.reason for window in analysis.result.left_out] == ["keyway"]


def test_locked_keys_do_nothing_until_unlocked(seat: Seat) -> None:
    seat.turn(1)
    seat.press("l", "space", "z", "2")
    assert "LOCKED   L L unlocks" in seat.text()
    assert "★" not in seat.text()
    assert not seat.console.runtime.state.sweep.starred
    seat.press_twice("l")
    seat.press("space")
    assert seat.console.runtime.state.sweep.starred


def test_bells_mean_something_and_can_be_turned_off(seat: Seat) -> None:
    seat.turn(3)
    assert seat.console.bells_to_ring() == 2
    seat.press("b")
    seat.turn(1)
    assert seat.console.bells_to_ring() == 0


def test_the_index_pulse_is_a_mark(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, override={"mark": "index"})
    seat.turn(1)
    assert "no mark touched" not in seat.text()
    seat.close()


def test_the_boards_button_walks_like_space(seat: Seat) -> None:
    seat.turn(1)
    seat.source.bench.press(1, seat.source.bench.now_us + 1000)  # type: ignore[attr-defined]
    seat.go(0.5)
    assert "turn 1 has a star" in seat.text()
