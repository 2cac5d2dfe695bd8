"""Damaged streams: cut, flipped, dropped, inserted bytes lose frames, and never make a wrong one.

A 16-bit crc passes one damaged frame in 65,536 by chance, so all damage here is fixed: enumerated, or drawn
from fixed seeds.
"""

import random

import pytest
from wire_cases import CASES, Case, random_messages, rows_of_decoded, rows_of_messages, stream_of

from logger.wire.bulk import BulkDecoder
from logger.wire.framing import MAX_RUN, FrameDecoder
from logger.wire.messages import Message, Sample
from logger.wire.parsing import MessageDecoder

SENT: list[Message] = [
    *(case.message for case in CASES),
    *(Sample(100 + i, 3_000_000 + 500 * i, i % 2 * 0x20, 7 * i - 20, i**5) for i in range(8)),
]
STREAM = stream_of(SENT)
each_place = range(len(STREAM))


def decode(data: bytes) -> tuple[list[Message], int]:
    """Return the messages and the bad frames of data and the start of a next frame."""
    decoder = MessageDecoder()
    return decoder.feed(data), decoder.bad


def missing(found: list[Message]) -> int:
    """Return how many sent messages were not found; fails if any was never sent, or out of its order."""
    sent = iter(SENT)
    for message in found:
        assert message in sent, f"never sent, or out of order: {message}"
    return len(SENT) - len(found)


def test_stream_cut_before_any_byte_loses_only_what_is_cut() -> None:
    for place in each_place:
        found, bad = decode(STREAM[place:])
        cut_through = STREAM[place - 1] != 0 and place > 0
        assert missing(found) == STREAM[:place].count(0) + cut_through
        # What is left of a frame is bad, but for its closing zero alone, which is an empty frame.
        assert bad == (cut_through and STREAM[place] != 0)


def test_stream_cut_after_any_byte_keeps_all_before() -> None:
    for place in each_place:
        found, bad = decode(STREAM[:place])
        assert found == SENT[: STREAM[:place].count(0)]
        assert bad == 0


def test_any_bit_flipped_loses_at_most_the_two_frames_it_joins() -> None:
    for place in each_place:
        for bit in range(8):
            damaged = bytearray(STREAM)
            damaged[place] ^= 1 << bit
            assert 1 <= missing(decode(bytes(damaged))[0]) <= 2


def test_any_byte_dropped_loses_at_most_the_two_frames_it_joins() -> None:
    for place in each_place:
        assert 1 <= missing(decode(STREAM[:place] + STREAM[place + 1 :])[0]) <= 2


@pytest.mark.parametrize("byte", [0x00, 0x01, 0x02, 0x53, 0xFF])
def test_any_byte_inserted_loses_at_most_one_frame(byte: int) -> None:
    for place in each_place:
        assert missing(decode(STREAM[:place] + bytes([byte]) + STREAM[place:])[0]) <= 1


def test_any_stretch_lost_never_makes_a_frame_of_its_two_ends() -> None:
    for first in range(0, len(STREAM), 3):
        for last in range(first + 1, min(first + 60, len(STREAM))):
            missing(decode(STREAM[:first] + STREAM[last:])[0])


def test_heavily_damaged_streams_accept_no_wrong_frame() -> None:
    rng = random.Random(5)
    for _ in range(300):
        damaged = bytearray(STREAM)
        for _ in range(rng.randrange(1, 12)):
            place = rng.randrange(len(damaged))
            damaged[place : place + rng.randrange(3)] = rng.randbytes(rng.randrange(3))
        missing(decode(bytes(damaged))[0])


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_no_tail_of_a_frame_is_a_frame(case: Case) -> None:
    frame = bytes.fromhex(case.frame)
    tails = [frame[start:] for start in range(1, len(frame))]
    assert [decode(tail)[0] for tail in tails] == [[]] * len(tails)


@pytest.mark.parametrize("step", [1, 7, MAX_RUN, 10_000])
@pytest.mark.parametrize("junk", [MAX_RUN - 15, MAX_RUN, MAX_RUN + 1, 1000])
def test_tail_of_an_overlong_run_never_comes_back(junk: int, step: int) -> None:
    # The last bytes before the zero are a whole good frame, as if the reader had begun just there.
    data = b"\x07" * junk + bytes.fromhex(CASES[3].frame) + bytes.fromhex(CASES[4].frame)
    decoder = FrameDecoder()
    found = [body for start in range(0, len(data), step) for body in decoder.feed(data[start : start + step])]
    assert (found, decoder.bad) == ([CASES[4].message.encode()], 1)


@pytest.mark.parametrize("step", [1, 7, MAX_RUN, 10_000])
def test_tail_of_an_overlong_run_never_comes_back_in_bulk(step: int) -> None:
    data = b"\x07" * MAX_RUN + bytes.fromhex(CASES[3].frame) + bytes.fromhex(CASES[4].frame)
    decoder = BulkDecoder()
    for start in range(0, len(data), step):
        decoder.feed(data[start : start + step])
    assert (decoder.frames, decoder.bad) == (1, 1)


BAD_STREAM = (
    b"\x07" * 60
    + bytes.fromhex(CASES[3].frame)  # within a run of 80: bad
    + b"\x00\x00\x05\x01\x00"
    + b"\x09" * 200
    + bytes.fromhex(CASES[5].frame)  # the tail of an overlong run: bad
    + bytes.fromhex(CASES[4].frame)
    + bytes.fromhex(CASES[8].frame)[:-6]
    + b"\x00"
    + bytes.fromhex(CASES[7].frame)
)


def test_bad_stream_gives_its_two_good_frames() -> None:
    assert decode(BAD_STREAM) == ([CASES[4].message, CASES[7].message], 4)


def test_bad_stream_cut_in_two_at_any_place_gives_the_same() -> None:
    for place in range(len(BAD_STREAM) + 1):
        decoder = MessageDecoder()
        found = decoder.feed(BAD_STREAM[:place]) + decoder.feed(BAD_STREAM[place:])
        assert (found, decoder.bad) == ([CASES[4].message, CASES[7].message], 4)


def test_bad_stream_that_stops_anywhere_gives_no_frame_it_would_not_have_given() -> None:
    for place in range(len(BAD_STREAM) + 1):
        found, _ = decode(BAD_STREAM[:place])
        assert found == [CASES[4].message, CASES[7].message][: len(found)]


def test_bad_stream_begun_anywhere_gives_whole_frames_only() -> None:
    # Begun exactly at, or shortly before, a whole frame it is that frame's own bytes and zero: a good frame.
    whole = [CASES[n].message for n in (3, 5, 4, 7)]
    for place in range(len(BAD_STREAM) + 1):
        assert all(message in whole for message in decode(BAD_STREAM[place:])[0])


def test_bulk_refuses_what_live_refuses_in_every_one_byte_damage() -> None:
    rng = random.Random(9)
    for place in each_place:
        damaged = STREAM[:place] + rng.randbytes(1) + STREAM[place + 1 :]
        live, bulk = MessageDecoder(), BulkDecoder(loop_below=0 if place % 5 == 0 else 64)
        assert rows_of_decoded(bulk.feed(damaged)) == rows_of_messages(live.feed(damaged))
        assert (bulk.frames, bulk.bad, bulk.pending) == (live.frames, live.bad, live.pending)


def test_clock_count_and_seq_wrap_without_a_frame_lost() -> None:
    sent: list[Message] = [
        Sample(
            (65530 + i) & 0xFFFF,
            (2**32 - 5000 + 1000 * i) & 0xFFFFFFFF,
            0,
            (i - 5 + 2**32) % 2**32 - 2**31,
            0,
        )
        for i in range(12)
    ]
    assert decode(stream_of(sent)) == (sent, 0)


def test_random_messages_all_arrive() -> None:
    sent = random_messages(seed=21, n=2000)
    assert decode(stream_of(sent)) == (sent, 0)
