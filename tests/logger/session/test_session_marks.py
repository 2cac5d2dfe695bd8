"""Where the angles of a session count from: marks, index pulses, buttons."""

import pytest
from boards import PER_TURN, ScriptedBoard, host
from decoded_sessions import degrees, same, touched, whole

from analysis.capture.event_words import decode
from analysis.capture.events import (
    ButtonPressed,
    CountZeroed,
    Event,
    MarkTouched,
)
from analysis.setup import MarkSide
from logger.session.session import Session, replay
from logger.stream import LinkBytes, RecordedEvent


def test_without_a_mark_count_0_is_the_mark(board: ScriptedBoard):
    board.turn([0, 600, 1200])
    session = whole(board.take())
    assert degrees(session) == [0.0, 90.0, 180.0]
    assert not session.capture().marked


def test_a_mark_is_the_zero_of_what_came_before_it_too(board: ScriptedBoard):
    board.turn([0, 600, 1200])
    session = whole(board.take())
    session.take_event(touched(600))
    assert degrees(session) == [-90.0, 0.0, 90.0]
    assert session.capture().marked


def test_the_newest_mark_is_the_zero_from_there_on(board: ScriptedBoard):
    board.turn([0, 600])
    session = whole(board.take())
    session.take_event(touched(0))
    session.take_event(touched(1000))
    board.turn([1000, 1600], first_us=100_000)
    session.feed(host(0), board.take())
    assert degrees(session) == [0.0, 90.0, 0.0, 90.0]


def test_a_mark_touched_again_at_the_same_angle_does_not_begin_anew(board: ScriptedBoard):
    board.turn([0, 600])
    session = whole(board.take())
    session.take_event(touched(0))
    session.take_event(touched(2 * PER_TURN + 2))  # 0.3 degrees off, as a hand does
    board.turn([4800, 5400], first_us=100_000)
    session.feed(host(0), board.take())
    assert degrees(session) == [0.0, 90.0, 720.0, 810.0]


def test_the_mark_before_touched_by_its_own_count_takes_the_last_one_back(board: ScriptedBoard):
    board.turn([0, 600])
    session = whole(board.take())
    session.take_event(touched(0))
    before = degrees(session)
    session.take_event(touched(200))
    board.turn([1200, 1800], first_us=100_000)
    session.feed(host(0), board.take())
    session.take_event(touched(0))
    assert degrees(session) == [*before, 180.0, 270.0]
    assert set(session.capture().samples.segment.tolist()) == {0}
    assert session.zero_count == 0.0


def test_marks_of_part_and_arbor_are_kept_apart(board: ScriptedBoard):
    board.turn([0, 600])
    data = board.take()
    for on, zero in (("part", 0), ("arbor", 300)):
        session = whole(data, {"mark_on": on})
        session.take_event(touched(0))
        session.take_event(MarkTouched(MarkSide.ARBOR, 300))
        assert degrees(session)[0] == -zero / PER_TURN * 360


@pytest.fixture
def with_pulses(board: ScriptedBoard) -> bytes:
    board.turn([0, 600])
    board.index(45_000, 900, 1)
    board.turn([1200, 1800], first_us=60_000)
    return board.take()


def test_the_index_pulse_is_the_mark_where_the_set_up_says_so(with_pulses: bytes):
    assert degrees(whole(with_pulses, {"mark": "index"})) == [-135.0, -45.0, 45.0, 135.0]


def test_the_index_pulse_is_no_mark_otherwise(with_pulses: bytes):
    assert degrees(whole(with_pulses)) == [0.0, 90.0, 180.0, 270.0]


def test_an_event_beats_the_index(with_pulses: bytes):
    session = whole(with_pulses, {"mark": "index"})
    session.take_event(touched(600))
    assert degrees(session) == [-90.0, 0.0, 90.0, 180.0]


def test_a_press_of_the_button_is_a_mark_where_it_was_pressed(board: ScriptedBoard):
    board.turn([0, 600])
    board.button(45_000, 240)
    session = whole(board.take())
    assert degrees(session) == [-36.0, 54.0]


def test_a_press_is_noted_once(board: ScriptedBoard):
    board.button(0, 240)
    board.button(9_000, 250, down=0)
    outputs = Session().feed(host(0), board.take())
    assert outputs[2:] == [touched(240)]


def test_the_first_button_means_next(board: ScriptedBoard):
    board.button(0, 240, button=1)
    session = Session()
    outputs = session.feed(host(0), board.take())
    assert outputs[2:] == [ButtonPressed(1, 240)]
    assert session.mark_counts(MarkSide.PART) == []


def test_a_button_marks_what_the_set_up_says(board: ScriptedBoard):
    board.button(0, 240, button=1)
    session = whole(board.take(), {"button_1": "mark", "mark_on": "arbor"})
    assert session.mark_counts(MarkSide.ARBOR) == [240]


def test_a_replay_takes_the_event_and_not_the_press(board: ScriptedBoard):
    board.turn([0, 600])
    board.button(45_000, 240)
    data = board.take()
    live = Session()
    outputs = live.feed(host(0), data)
    noted = [RecordedEvent(host(0), one) for one in outputs if isinstance(one, Event)]
    played = replay([LinkBytes(host(0), data), *noted])
    assert played.mark_counts(MarkSide.PART) == live.mark_counts(MarkSide.PART) == [240]
    same(played.capture(), live.capture())


def test_without_its_event_a_press_in_a_recording_is_no_mark(board: ScriptedBoard):
    board.button(0, 240)
    assert whole(board.take(), live=False).mark_counts(MarkSide.PART) == []


def test_a_press_after_the_count_has_wrapped_is_replayed_at_its_place(board: ScriptedBoard):
    top = 1 << 31
    board.turn([top - 600, top + 600])
    board.button(45_000, top + 240)
    data = board.take()
    live = Session()
    outputs = live.feed(host(0), data)
    noted = [RecordedEvent(host(0), one) for one in outputs if isinstance(one, Event)]
    same(replay([LinkBytes(host(0), data), *noted]).capture(), live.capture())
    assert degrees(live) == [-126.0, 54.0]


def test_an_event_without_a_count_is_no_mark(board: ScriptedBoard):
    board.turn([0, 600])
    session = whole(board.take())
    session.take_event(decode({"event": "mark", "on": "part", "count": "here"}))
    assert session.mark_counts(MarkSide.PART) == []


def test_a_count_set_to_zero_in_the_middle_breaks_the_sweep(board: ScriptedBoard):
    session = whole(board.take())
    session.take_event(CountZeroed())
    assert session.snapshot().broken == ("the count was set to zero in the middle of the sweep",)
