"""A session: the same bytes in any pieces are the same sweep; marks, boots, wraps and losses are told."""

import numpy as np
import pytest
from boards import PER_TURN, ScriptedBoard, counts, host, pieces, wobble
from hypothesis import given, strategies as st

from analysis.capture.event_words import decode
from analysis.capture.events import (
    BoardRestarted,
    ButtonPressed,
    CountZeroed,
    Event,
    GapCause,
    LinkLost,
    LinkReopened,
    MarkTouched,
    Pushed,
    TimedEvent,
)
from analysis.capture.samples import Capture, Samples
from analysis.errors import BadInput
from analysis.setup import MarkSide
from logger.decoding.link_events import BoardMessage
from logger.practice.serving.simulated_source import PracticeSource
from logger.session.session import Session, replay
from logger.stream import Item, LinkBytes, RecordedEvent, SetupChange
from logger.wire.handshake import Handshake
from logger.wire.layout import FLAG_ENCODER, FLAG_HELD, FLAG_OUT_OF_RANGE
from logger.wire.messages import Hello

ARRAYS = ("t_s", "angle_rad", "reading_mm", "new", "out_of_range", "segment")
PULSES = ("t_s", "angle_rad", "direction", "segment")


def touched(count: int) -> MarkTouched:
    """Return that the part's mark stood under the tip at this count."""
    return MarkTouched(MarkSide.PART, count)


def same(one: Capture, other: Capture) -> None:
    for name in ARRAYS:
        np.testing.assert_array_equal(getattr(one.samples, name), getattr(other.samples, name), name)
    for name in PULSES:
        np.testing.assert_array_equal(getattr(one.index, name), getattr(other.index, name), name)
    assert (one.link, one.broken, one.marked, one.events) == (
        other.link,
        other.broken,
        other.marked,
        other.events,
    )
    assert (one.counts_per_turn, one.resolution_mm, one.range_mm) == (
        other.counts_per_turn,
        other.resolution_mm,
        other.range_mm,
    )


def fed(items: list[Item], setup: dict[str, str] | None = None, *, live: bool = True) -> Session:
    session = Session(setup, live=live)
    for item in items:
        session.take(item)
    return session


def whole(data: bytes, setup: dict[str, str] | None = None, *, live: bool = True) -> Session:
    return fed([LinkBytes(host(0), data)], setup, live=live)


def samples_of(board: ScriptedBoard, setup: dict[str, str] | None = None) -> Samples:
    return whole(board.take(), setup).capture().samples


def degrees(session: Session) -> list[float]:
    return np.degrees(session.capture().samples.angle_rad).round(6).tolist()


@pytest.fixture
def board() -> ScriptedBoard:
    """One that has said hello and described channel 0."""
    made = ScriptedBoard()
    made.greet()
    made.describe()
    return made


# --- in any pieces ----------------------------------------------------------------------------------------


def of_the_bench(name: str, fault: str | None, turns: int = 2) -> list[Item]:
    """Return what the bench yields over an ordinary opening."""
    source, handshake = PracticeSource(name, 1, fault, turns), Handshake()
    session, items = Session(source.setup), []
    while not source.at_end:
        source.write(handshake.poll(source.now().monotonic_ns * 1e-9))
        for item in source.read(0.02):
            items.append(item)
            for output in session.take(item):
                if isinstance(output, BoardMessage):
                    handshake.receive(output.message, item.host.monotonic_ns * 1e-9)
    return items


BENCHES = [
    ("wind-pump/as-found", "drop", 1),
    ("wind-pump/as-found", "wrap", 2),
    ("wind-pump/end-float", None, 1),
]


@pytest.fixture(
    scope="module", params=BENCHES, ids=lambda case: f"{case[0]}, {case[1]}"
)  # a wrap is in the second turn
def bench_items(request: pytest.FixtureRequest) -> list[Item]:
    return of_the_bench(*request.param)


def cut_again(items: list[Item], length: int) -> list[Item]:
    """Return the same items with bytes joined as far as no event comes between, then cut to this length."""
    cut: list[Item] = []
    waiting = b""
    for item in items:
        if isinstance(item, LinkBytes):
            waiting += item.data
        else:
            cut += [*pieces(waiting, [length]), item]
            waiting = b""
    return [*cut, *pieces(waiting, [length])]


@pytest.mark.parametrize("live", [True, False], ids=["live", "bulk"])
@pytest.mark.parametrize("length", [1, 7, 1000, 1 << 22])
def test_the_same_bytes_in_any_pieces_are_the_same_sweep(bench_items: list[Item], length: int, live: bool):
    same(fed(cut_again(bench_items, length), live=live).capture(), fed(bench_items).capture())


def small_stream() -> bytes:
    """Return a stream of everything: noise before the hello, two channels, pulses, a press, lost frames."""
    board = ScriptedBoard()
    board.data += b"\x42\x17fragment\x00"
    board.greet()
    board.describe()
    board.describe(1, kind=3)
    for k, count in enumerate(counts(1.5, 24)):
        board.sample(20_000 * k, int(count), wobble(int(count)), flags=FLAG_HELD if k % 5 == 4 else 0)
        board.sample(20_000 * k + 5, int(count), 21_500, channel=1)
        if k == 3:
            board.button(20_000 * k + 9, int(count) + 7)
        if k == 8:
            board.lose(3)
        if k % 24 == 12:
            board.index(20_000 * k + 11, int(count) + 3, 1 + k // 24)
    board.data += b"\x99garbage at the end"
    return board.take()


STREAM = small_stream()


@given(st.lists(st.integers(1, 60), max_size=60), st.booleans())
def test_random_pieces_are_the_same_sweep(lengths: list[int], live: bool):
    got = fed(pieces(STREAM, lengths), {"button_2": "next"}, live=live).capture()
    same(got, replaced_events(whole(STREAM, {"button_2": "next"}).capture(), got))


def replaced_events(capture: Capture, by: Capture) -> Capture:
    # A press is an event when live; bulk takes it from the recording, which these bare bytes are not.
    from dataclasses import replace

    return replace(capture, events=by.events)


@given(st.lists(st.integers(1, 200), max_size=20))
def test_a_snapshot_after_any_pieces_is_the_same(lengths: list[int]):
    assert fed(pieces(STREAM, lengths)).snapshot() == whole(STREAM).snapshot()


def test_every_piece_says_how_far_it_came(board: ScriptedBoard):
    session = whole(board.take())
    seen = []
    for k in range(3):
        board.sample(1000 * k, 10 * k, k)
        session.feed(host(0), board.take())
        snapshot = session.snapshot()
        seen.append((snapshot.samples, snapshot.count, snapshot.reading_mm))
    assert seen == [(1, 0, 0.0), (2, 10, 0.001), (3, 20, 0.002)]


# --- hello ------------------------------------------------------------------------------------------------


def test_a_hello_that_comes_late_loses_nothing():
    late, early = ScriptedBoard(), ScriptedBoard(seq=100)
    late.turn(counts(1), value=wobble)
    late.greet()
    late.describe()
    early.greet()
    early.describe()
    early.turn(counts(1), value=wobble)
    one, other = whole(late.take()).capture(), whole(early.take()).capture()
    np.testing.assert_array_equal(one.samples.angle_rad, other.samples.angle_rad)
    np.testing.assert_array_equal(one.samples.reading_mm, other.samples.reading_mm)


def test_before_the_board_said_how_it_scales_there_is_no_reading():
    board = ScriptedBoard()
    board.sample(0, 0, 5)
    snapshot = whole(board.take()).snapshot()
    assert (snapshot.samples, snapshot.reading_mm, snapshot.count) == (1, None, 0)


def test_without_any_hello_the_sweep_is_refused():
    board = ScriptedBoard()
    board.turn(counts(1))
    with pytest.raises(BadInput, match="no hello was found"):
        whole(board.take()).capture()


def test_a_second_hello_of_the_same_boot_changes_nothing(board: ScriptedBoard):
    board.turn(counts(0.5), value=wobble)
    board.greet()
    board.turn(counts(0.5, first=1200), first_us=600_000, value=wobble)
    session = whole(board.take())
    assert (session.boots, session.snapshot().broken) == (1, ())


def test_a_second_hello_with_other_counts_breaks_the_sweep(board: ScriptedBoard):
    board.turn(counts(0.5), value=wobble)
    board.greet(per_turn=4000)
    assert whole(board.take()).snapshot().broken == ("the board first said 2400 counts per turn, then 4000",)


def test_a_board_of_a_newer_wire_is_refused():
    board = ScriptedBoard()
    board.greet(version=2)
    with pytest.raises(BadInput, match="version 2 of the wire, this program version 1: update the program"):
        whole(board.take())


def test_whoever_talks_to_the_board_hears_what_it_said(board: ScriptedBoard):
    outputs = Session().feed(host(0), board.take())
    assert [type(one.message).__name__ for one in outputs if isinstance(one, BoardMessage)] == [
        "Hello",
        "Channel",
    ]


def test_the_newest_hello_is_known(board: ScriptedBoard):
    hello = whole(board.take()).hello
    assert isinstance(hello, Hello)
    assert hello.counts_per_turn == PER_TURN


def test_a_board_without_an_encoder_has_no_angle():
    board = ScriptedBoard(per_turn=0)
    board.greet()
    board.describe()
    board.turn(counts(1))
    with pytest.raises(BadInput, match="nothing tells the angle"):
        whole(board.take()).capture()


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


def test_bad_bytes_are_counted_and_never_raise(board: ScriptedBoard):
    board.data += b"\x01\x02\x03nonsense\x00"
    board.sample(0, 0, 0)
    link = whole(board.take()).snapshot().link
    assert (link.frames, link.bad) == (3, 1)


# --- marks ------------------------------------------------------------------------------------------------


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


# --- numbers that wrap ------------------------------------------------------------------------------------


def shifted(count: int, t_us: int) -> Capture:
    """Return a sweep that begins at this count and board time, marked at its first reading."""
    board = ScriptedBoard(seq=0xFFF0)
    board.greet()
    board.describe()
    board.beat(t_us - 5, count)
    for k, step in enumerate(counts(1)):
        board.sample(t_us + 20_000 * k, count + int(step), wobble(int(step)))
        if k == 30:
            board.index(t_us + 20_000 * k + 1, count + int(step) + 5, 1)
    session = whole(board.take())
    session.take_event(touched(count))
    return session.capture()


WRAPS = {
    "the count": ((1 << 31) - 1000, 0),
    "the count, downward": (-(1 << 31) - 100, 0),
    "the clock": (0, (1 << 32) - 600_000),
    "both": ((1 << 31) - 1000, (1 << 32) - 600_000),
    "at the very first reading": ((1 << 31), (1 << 32)),
}


@pytest.mark.parametrize("at", WRAPS.values(), ids=WRAPS)
def test_a_sweep_over_which_numbers_wrap_is_the_same_sweep(at: tuple[int, int]):
    got, plain = shifted(*at), shifted(0, 0)
    for name in ARRAYS:
        np.testing.assert_array_equal(getattr(got.samples, name), getattr(plain.samples, name), name)
    for name in PULSES:
        np.testing.assert_array_equal(getattr(got.index, name), getattr(plain.index, name), name)


def test_frame_numbers_that_wrap_are_no_loss():
    link = shifted(0, 0).link
    assert (link.lost, link.gaps) == (0, ())


def test_a_frame_that_comes_a_little_out_of_order_moves_nothing(board: ScriptedBoard):
    board.sample(0, 0, 0)
    board.sample(20_000, 40, 0)
    board.index(15_000, 30, 1)  # latched before the reading that was sent before it
    board.sample(40_000, 80, 0)
    capture = whole(board.take()).capture()
    np.testing.assert_allclose(capture.samples.t_s, [0.0, 0.02, 0.04], rtol=1e-15)
    np.testing.assert_allclose(capture.index.t_s, [0.015], rtol=1e-15)


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
