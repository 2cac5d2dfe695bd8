"""A session whose board restarts, or whose cable is out: what is lost is counted and told."""

import numpy as np
import pytest
from boards import PER_TURN, ScriptedBoard, counts, host, wobble
from decoded_sessions import ARRAYS, degrees, of_the_bench, touched, whole

from analysis.capture.events import (
    BoardRestarted,
    Event,
    GapCause,
    LinkLost,
    LinkReopened,
)
from logger.session.session import Session, replay
from logger.stream import RecordedEvent
from logger.wire.layout import FLAG_ENCODER

# --- boots ------------------------------------------------------------------------------------------------


@pytest.fixture
def restarted(board: ScriptedBoard) -> ScriptedBoard:
    """One that turned once, restarted, and turned on for a turn."""
    board.turn(counts(1), value=wobble)
    board.greet(boot_id=8)
    board.describe()
    board.turn(counts(1), value=wobble)
    return board


def test_another_boot_id_is_a_restart(restarted: ScriptedBoard):
    outputs = Session().feed(host(0), restarted.take())
    assert [one for one in outputs if isinstance(one, Event)] == [BoardRestarted(8)]


def test_a_restart_breaks_the_sweep(restarted: ScriptedBoard):
    assert "the board restarted in the middle of the sweep" in whole(restarted.take()).snapshot().broken[0]


def test_a_restart_is_counted(restarted: ScriptedBoard):
    assert whole(restarted.take()).snapshot().link.restarts == 1


def test_the_numbers_of_a_new_boot_are_not_lost_frames(restarted: ScriptedBoard):
    assert whole(restarted.take()).snapshot().link.lost == 0


def test_after_a_restart_nothing_has_an_angle_without_a_mark(restarted: ScriptedBoard):
    assert len(whole(restarted.take()).capture().samples) == len(counts(1))


def test_after_a_restart_angles_go_on_from_the_next_mark(restarted: ScriptedBoard):
    session = whole(restarted.take())
    session.take_event(touched(600))
    capture = session.capture()
    assert len(capture.samples) == 2 * len(counts(1))
    # The first boot never had a mark: its count 0 stands for it.
    np.testing.assert_allclose(capture.samples.angle_rad[[0, 61]], [0.0, -np.pi / 2])


def test_no_turn_spans_two_boots(restarted: ScriptedBoard):
    session = whole(restarted.take())
    session.take_event(touched(600))
    assert set(session.capture().samples.segment[:61]).isdisjoint(session.capture().samples.segment[61:])


def test_between_boots_the_host_s_clock_tells_the_time(board: ScriptedBoard):
    board.turn(counts(1), first_us=5_000_000)
    session = whole(board.take())
    board.greet(boot_id=8)
    board.describe()
    board.turn(counts(1), first_us=77)
    session.feed(host(100), board.take())
    session.take_event(touched(0))
    times = session.capture().samples.t_s
    # The device's clock within a boot; 100 s between the first bytes of the two.
    np.testing.assert_allclose(times[[0, 1, 60, 61, 62]], [0.0, 0.02, 1.2, 100.0, 100.02], atol=1e-9)


def test_a_recording_with_a_restart_is_the_sweep_that_was_live():
    items = of_the_bench("wind-pump/as-found", "restart")
    session, recorded = Session(), []
    for item in items:
        recorded.append(item)
        for output in session.take(item):
            if isinstance(output, Event):
                recorded.append(RecordedEvent(item.host, output))
    one, other = session.capture(), replay(recorded).capture()
    for name in ARRAYS:
        np.testing.assert_array_equal(getattr(one.samples, name), getattr(other.samples, name), name)
    assert (one.link, one.broken, one.events) == (other.link, other.broken, other.events)


# --- the cable --------------------------------------------------------------------------------------------


def test_a_cable_that_was_out_is_a_gap_with_its_name(board: ScriptedBoard):
    board.turn(counts(0.5))
    before = board.take()
    board.lose(10)
    board.turn(counts(0.5, first=1300), first_us=5_000_000)
    session = whole(before)
    session.take_event(LinkLost(GapCause.UNPLUGGED))
    session.take_event(LinkReopened())
    session.feed(host(5), board.take())
    (gap,) = session.capture().link.gaps
    assert (gap.why, gap.lost, round(gap.start_s, 6), round(gap.end_s, 6)) == ("unplugged", 10, 0.6, 5.0)


def test_the_mark_holds_over_a_cable_that_was_out(board: ScriptedBoard):
    board.turn(counts(0.5))
    session = whole(board.take())
    session.take_event(touched(240))
    session.take_event(LinkLost(GapCause.UNPLUGGED))
    board.greet()
    board.turn(counts(0.5, first=1300), first_us=5_000_000)
    session.feed(host(5), board.take())
    assert degrees(session)[31] == (1300 - 240) / PER_TURN * 360


def test_lost_frames_are_counted_where_they_are_missing(board: ScriptedBoard):
    board.turn(counts(0.5))
    board.lose(4)
    board.turn(counts(0.5, first=1240), first_us=620_000)
    link = whole(board.take()).capture().link
    (gap,) = link.gaps
    assert (link.lost, gap.why, gap.lost, round(gap.start_s, 6)) == (4, "lost", 4, 0.6)


def test_silence_is_a_stall(board: ScriptedBoard):
    board.turn(counts(0.5))
    board.turn(counts(0.5, first=1240), first_us=3_000_000)
    (gap,) = whole(board.take()).capture().link.gaps
    assert (gap.why, gap.lost) == ("stalled", 0)


def test_what_the_board_dropped_is_a_step_of_its_heartbeats(board: ScriptedBoard):
    for dropped in (65_530, 65_533, 2):
        board.beat(0, dropped=dropped)
    # 65,530 to 65,533 to 65,538: what it dropped before the recording began is not the sweep's.
    assert whole(board.take()).snapshot().link.dropped == 8


def test_a_step_of_the_encoder_s_errors_breaks_the_sweep(board: ScriptedBoard):
    board.beat(0, enc_errors=3)
    board.beat(0, enc_errors=4)
    snapshot = whole(board.take()).snapshot()
    assert snapshot.link.enc_errors == 1
    assert "the encoder reported impossible steps" in snapshot.broken[0]


def test_a_reading_with_an_encoder_error_breaks_the_sweep(board: ScriptedBoard):
    board.sample(0, 0, 0, flags=FLAG_ENCODER)
    assert "the encoder reported impossible steps" in whole(board.take()).snapshot().broken[0]


@pytest.mark.parametrize("wild", [1 << 30, -(1 << 31), 300])
def test_a_count_that_steps_faster_than_the_board_can_follow_breaks_the_sweep(
    board: ScriptedBoard, wild: int
):
    # 20,000 edges a second, so at most some hundred counts in 2 ms.
    for k in range(9):
        board.sample(2000 * k, 10 * k + (wild if k == 4 else 0), 0)
    assert "stepped faster than the board can follow" in whole(board.take()).snapshot().broken[0]


@pytest.mark.parametrize("counts_apart", [0, 40, -40])
def test_a_count_at_the_speed_the_board_can_follow_breaks_nothing(board: ScriptedBoard, counts_apart: int):
    for k in range(9):
        board.sample(2000 * k, counts_apart * k, 0)
    assert whole(board.take()).snapshot().broken == ()


def test_bad_bytes_are_counted_and_never_raise(board: ScriptedBoard):
    board.data += b"\x01\x02\x03nonsense\x00"
    board.sample(0, 0, 0)
    link = whole(board.take()).snapshot().link
    assert (link.frames, link.bad) == (3, 1)
