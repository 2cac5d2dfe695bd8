"""A session: the same bytes in any pieces are the same sweep, wherever its numbers wrap; a hello tells the board."""

import numpy as np
import pytest
from boards import PER_TURN, ScriptedBoard, counts, host, pieces, wobble
from decoded_sessions import ARRAYS, PULSES, fed, of_the_bench, same, touched, whole
from hypothesis import given, strategies as st

from analysis.capture.samples import Capture
from analysis.errors import BadInput
from logger.decoding.link_events import BoardMessage
from logger.session.session import Session
from logger.stream import Item, LinkBytes
from logger.wire.layout import FLAG_HELD
from logger.wire.messages import Hello

# --- in any pieces ----------------------------------------------------------------------------------------


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
