"""Scale, sense and channel of a session, and a set-up that changes on the way."""

import numpy as np
import pytest
from boards import ScriptedBoard, counts, host, wobble
from decoded_sessions import degrees, fed, samples_of, touched, whole

from analysis.capture.events import (
    Pushed,
    TimedEvent,
)
from analysis.errors import BadInput
from logger.session.session import Session
from logger.stream import LinkBytes, SetupChange
from logger.wire.layout import FLAG_HELD, FLAG_OUT_OF_RANGE

# --- scale, sense, channel --------------------------------------------------------------------------------


def test_sense_mirrors_the_angles(board: ScriptedBoard):
    board.turn(counts(1), value=wobble)
    data = board.take()
    forward, mirrored = whole(data).capture().samples, whole(data, {"sense": "-1"}).capture().samples
    np.testing.assert_array_equal(mirrored.angle_rad, -forward.angle_rad)
    np.testing.assert_array_equal(mirrored.reading_mm, forward.reading_mm)


def test_a_learnt_number_of_counts_goes_before_the_board_s(board: ScriptedBoard):
    board.turn([0, 600])
    session = whole(board.take(), {"counts_per_turn": "2403.5"})
    assert session.capture().samples.angle_rad[1] == pytest.approx(600 * 2 * np.pi / 2403.5, rel=1e-15)
    assert session.counts_per_turn == 2403.5


def test_a_gauge_may_count_the_other_way(board: ScriptedBoard):
    board.describe(sign=1)
    board.sample(0, 0, 5)
    assert samples_of(board).reading_mm.tolist() == [-0.005]


def test_a_step_of_the_gauge_is_what_the_board_says(board: ScriptedBoard):
    board.describe(scale_nm=1270)
    board.sample(0, 0, 4)
    # Four steps of 0.00005 in.
    assert samples_of(board).reading_mm.tolist() == [pytest.approx(4 * 0.00005 * 25.4, rel=1e-15)]


def test_the_board_says_which_values_are_new_and_which_out_of_range(board: ScriptedBoard):
    for k, flags in enumerate((0, FLAG_HELD, FLAG_OUT_OF_RANGE)):
        board.sample(k, k, 0, flags=flags)
    got = samples_of(board)
    assert got.new.tolist() == [True, False, True]
    assert got.out_of_range.tolist() == [False, False, True]


@pytest.fixture
def two_channels(board: ScriptedBoard) -> bytes:
    board.describe(1, kind=2, scale_nm=100)
    board.describe(2, kind=3)
    for k in range(3):
        board.sample(k, k, k)
        board.sample(k, k, -k, channel=1)
        board.sample(k, k, 21_500, channel=2)
    return board.take()


@pytest.mark.parametrize(
    ("channel", "readings"), [("0", [0.0, 0.001, 0.002]), ("1", [0.0, -0.0001, -0.0002])]
)
def test_one_channel_is_chosen(two_channels: bytes, channel: str, readings: list[float]):
    got = whole(two_channels, {"channel": channel}).capture().samples.reading_mm
    np.testing.assert_allclose(got, readings, rtol=1e-15)


def test_a_channel_that_is_no_length_is_refused(two_channels: bytes):
    with pytest.raises(BadInput, match=r"channel 2 \(channel 2\) is no gauge of length"):
        whole(two_channels, {"channel": "2"}).capture()


def test_a_channel_nobody_described_is_refused(two_channels: bytes):
    with pytest.raises(BadInput, match="channel 5 was asked for, the board described: 0 "):
        whole(two_channels, {"channel": "5"}).capture()


# --- set-up -----------------------------------------------------------------------------------------------


def test_a_set_up_in_the_stream_is_in_force_from_there_on(board: ScriptedBoard):
    board.turn([0, 600])
    items = [
        SetupChange(host(0), {"part": "disc", "sense": "-1", "crc32": "0"}),
        LinkBytes(host(0), board.take()),
    ]
    session = fed(items)
    assert session.setup.part == "disc"
    assert degrees(session) == [0.0, -90.0]


def test_what_was_given_to_the_session_stays_on_top():
    session = Session({"part": "mine"})
    session.change_setup({"part": "theirs", "stage": "as left"})
    assert (session.setup.part, session.setup.stage) == ("mine", "as left")


def test_a_set_up_that_is_typed_wrong_is_refused():
    with pytest.raises(BadInput, match="surface 'top' is not one of"):
        Session({"surface": "top"})


def test_a_wrong_value_that_was_kept_is_not_used_and_named():
    session = Session()
    session.change_setup({"surface": "top"})
    assert session.setup.surface == "face"
    assert "surface" in session.setup.unused


def test_events_carry_the_time_of_the_reading_before_them(board: ScriptedBoard):
    board.turn([0, 600, 1200])
    session = whole(board.take())
    session.take_event(Pushed())
    assert session.capture().events == (TimedEvent(pytest.approx(0.04), Pushed()),)


@pytest.mark.parametrize(
    ("count", "turns"), [(0, 0), (2399, 0), (2400, 1), (7201, 3), (-1, -1), (-2400, -1), (-2401, -2)]
)
def test_whole_turns_are_counted_from_the_mark(board: ScriptedBoard, count: int, turns: int):
    board.sample(0, 500, 0)
    session = whole(board.take())
    session.take_event(touched(500))
    board.sample(1, 500 + count, 0)
    session.feed(host(0), board.take())
    assert session.whole_turns == turns
