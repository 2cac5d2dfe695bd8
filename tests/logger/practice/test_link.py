"""The line: its speed, its queue, bytes bitten off, a plug pulled."""

from hypothesis import given, strategies as st

from logger.practice.bench.link import QUEUE_BYTES, RESERVE_BYTES, Link, LinkKind

FRAMES = [bytes([k]) * 20 for k in range(1, 11)]


def test_a_byte_takes_ten_bits_of_time() -> None:
    link = Link(LinkKind(baud=500_000), "a")
    link.carry(b"abcd", 1000)
    assert [link.deliver(t) for t in (1019, 1020, 1079, 1080)] == [b"", b"a", b"bc", b"d"]


@given(st.lists(st.integers(0, 5000), min_size=1, max_size=40))
def test_what_arrives_does_not_depend_on_when_somebody_looks(looks_us: list[int]) -> None:
    link = Link(LinkKind(), "a")
    for frame in FRAMES:
        link.carry(frame, 0)
    assert b"".join(link.deliver(t) for t in [*sorted(looks_us), 5000]) == b"".join(FRAMES)


def test_frames_wait_for_one_another() -> None:
    link = Link(LinkKind(), "a")
    link.carry(b"a" * 10, 0)
    link.carry(b"b" * 10, 0)
    assert (link.deliver(200), link.deliver(400)) == (b"a" * 10, b"b" * 10)


def test_a_full_queue_takes_no_sample_but_still_a_rare_frame() -> None:
    link = Link(LinkKind(), "a")
    while link.carry(b"s" * 20, 0):
        pass
    assert (link.carry(b"s" * 20, 0), link.carry(b"r" * 20, 0, rare=True)) == (False, True)


def test_the_queue_stays_bounded_whatever_is_asked_of_it() -> None:
    link = Link(LinkKind(), "a")
    for _ in range(1000):
        link.carry(b"r" * 20, 0, rare=True)
    assert len(link.deliver(10**9)) <= QUEUE_BYTES + RESERVE_BYTES


def test_room_comes_back_with_time() -> None:
    link = Link(LinkKind(), "a")
    while link.carry(b"s" * 20, 0):
        pass
    assert link.carry(b"s" * 20, 400)  # 20 bytes of 20 us later


def test_what_is_sent_with_the_plug_out_is_lost() -> None:
    link = Link(LinkKind(), "a")
    link.unplugged_us = (1000, 2000)
    for t_us, frame in ((0, b"a"), (1500, b"b"), (2500, b"c")):
        assert link.carry(frame, t_us)
    assert link.deliver(10_000) == b"ac"


def test_what_nobody_took_leaves_less_room() -> None:
    link = Link(LinkKind(), "a")
    link.unread_bytes = QUEUE_BYTES - 10
    assert (link.carry(b"s" * 20, 0), link.carry(b"r" * 20, 0, rare=True)) == (False, True)


def test_a_line_nobody_takes_from_has_room_for_nothing() -> None:
    link = Link(LinkKind(), "a")
    link.unread_bytes = QUEUE_BYTES + RESERVE_BYTES
    assert not link.carry(b"r", 0, rare=True)


def test_some_frames_lose_bytes_and_most_do_not() -> None:
    link = Link(LinkKind(bite_one_in=10), "a")
    link.bites = True
    lengths = []
    for k in range(500):
        link.carry(b"s" * 20, k * 1000)
        lengths.append(len(link.deliver(k * 1000 + 999)))
    bitten = sum(length < 20 for length in lengths)
    assert 25 <= bitten <= 80  # 50 expected, standard deviation 6.7
    assert min(lengths) >= 14


def test_nothing_is_bitten_off_before_the_part_turns() -> None:
    link = Link(LinkKind(bite_one_in=1), "a")
    link.carry(b"abc", 0)
    assert link.deliver(1000) == b"abc"
