"""The two decoders against each other and against a slow plain one: same bytes, same answer."""

import random

import numpy as np
import pytest
from hypothesis import given, strategies as st
from wire_cases import (
    CASES,
    IMPOSSIBLE,
    PlainDecoder,
    Row,
    plain_crc16,
    plain_frame,
    random_message,
    random_messages,
    rows_of_decoded,
    rows_of_messages,
    stream_of,
)

from logger.wire.bulk import SAMPLE_DTYPE, BulkDecoder
from logger.wire.bulk_runs import crc16_columns, open_columns
from logger.wire.framing import MAX_RUN, MIN_RUN, encode_frame, open_run
from logger.wire.messages import Heartbeat, Message, Sample
from logger.wire.parsing import MessageDecoder

ARRAYS_ALWAYS = 0
LOOP_ALWAYS = 10**9
both_roads = pytest.mark.parametrize("loop_below", [ARRAYS_ALWAYS, LOOP_ALWAYS])

messages = st.builds(
    lambda seed, seq: random_message(random.Random(seed), seq), st.integers(0), st.integers(0, 65535)
)
frames = messages.map(lambda message: encode_frame(message.encode()))
damaged = st.tuples(frames, st.integers(0), st.integers(0, 255)).map(
    lambda t: t[0][: t[1] % len(t[0])] + bytes([t[2]]) + t[0][t[1] % len(t[0]) + 1 :]
)
impossible = st.sampled_from([encode_frame(bytes.fromhex(body)) for body in IMPOSSIBLE.values()])
junk = st.one_of(
    st.binary(max_size=30),
    st.integers(0, 250).map(lambda n: b"\x02" * n),
    st.integers(98, 108).map(lambda n: b"\x01" * n + b"\x00"),
    st.sampled_from([b"\x00", b"\x00\x00"]),
    st.binary(min_size=6, max_size=9).map(plain_frame),
)
streams = st.lists(st.one_of(frames, damaged, impossible, junk), max_size=12).map(b"".join)


def cut(data: bytes, places: list[int]) -> list[bytes]:
    """Return data in pieces, cut at these places taken around its length."""
    at = sorted({place % (len(data) + 1) for place in places})
    return [data[a:b] for a, b in zip([0, *at], [*at, len(data)], strict=True)]


def counters(decoder: MessageDecoder | BulkDecoder | PlainDecoder) -> tuple[int, int, int]:
    """Return the three counts."""
    return decoder.frames, decoder.bad, decoder.pending


def fed(
    decoder: MessageDecoder | PlainDecoder, pieces: list[bytes]
) -> list[tuple[list[Row], tuple[int, int, int]]]:
    """Return what came of each piece."""
    return [(rows_of_messages(decoder.feed(piece)), counters(decoder)) for piece in pieces]


def bulk_fed(pieces: list[bytes], loop_below: int) -> list[tuple[list[Row], tuple[int, int, int]]]:
    """Return what came of each piece from the bulk decoder."""
    decoder = BulkDecoder(loop_below)
    return [(rows_of_decoded(decoder.feed(piece)), counters(decoder)) for piece in pieces]


@both_roads
@given(data=streams | st.binary(max_size=300), places=st.lists(st.integers(0), max_size=8))
def test_bulk_and_live_agree_on_any_bytes_in_any_pieces(
    loop_below: int, data: bytes, places: list[int]
) -> None:
    pieces = cut(data, places)
    assert bulk_fed(pieces, loop_below) == fed(MessageDecoder(), pieces)


@given(data=streams, places=st.lists(st.integers(0), max_size=8))
def test_live_agrees_with_the_plain_decoder(data: bytes, places: list[int]) -> None:
    pieces = cut(data, places)
    assert fed(MessageDecoder(), pieces) == fed(PlainDecoder(), pieces)


@given(data=streams, places=st.lists(st.integers(0), max_size=8))
def test_pieces_change_neither_messages_nor_counts(data: bytes, places: list[int]) -> None:
    whole, pieced = MessageDecoder(), MessageDecoder()
    expected = whole.feed(data)
    found = [message for piece in cut(data, places) for message in pieced.feed(piece)]
    assert (found, counters(pieced)) == (expected, counters(whole))


@both_roads
def test_bulk_fed_byte_by_byte_agrees_with_live(loop_below: int) -> None:
    data = stream_of([case.message for case in CASES])[7:] + b"\x01" * 110 + b"\x00tail"
    pieces = [data[i : i + 1] for i in range(len(data))]
    assert bulk_fed(pieces, loop_below) == fed(MessageDecoder(), pieces)


@both_roads
def test_bulk_finds_every_case(loop_below: int) -> None:
    sent = [case.message for case in CASES]
    data = b"".join(bytes.fromhex(case.frame) for case in CASES)
    assert rows_of_decoded(BulkDecoder(loop_below).feed(data)) == rows_of_messages(sent)


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_impossible_body_counts_as_bad_in_arrays(name: str) -> None:
    decoder = BulkDecoder(ARRAYS_ALWAYS)
    decoder.feed(encode_frame(bytes.fromhex(IMPOSSIBLE[name])))
    assert counters(decoder) == (0, 1, 0)


def damage(data: bytes, seed: int, every: int) -> bytes:
    """Return data with about one byte in ``every`` changed, dropped, doubled or made zero."""
    rng = random.Random(seed)
    out = bytearray()
    for byte in data:
        what = rng.randrange(4 * every)
        out += {0: bytes([rng.randrange(256)]), 1: b"", 2: bytes([byte, byte]), 3: b"\x00"}.get(
            what, bytes([byte])
        )
    return bytes(out)


# 9,000 messages of all types, every length of run among them; blocks are tried in the test below.
@pytest.mark.parametrize("every", [30, 300, 10**9], ids=["one byte in 30", "one byte in 300", "undamaged"])
def test_bulk_and_live_agree_on_a_long_mixed_stream(every: int) -> None:
    data = damage(stream_of(random_messages(seed=7, n=9000)), seed=every, every=every)
    pieces = cut(data, [100_001, 200_002])
    assert bulk_fed(pieces, loop_below=64) == fed(MessageDecoder(), pieces)


@pytest.mark.parametrize("every", [50, 1000], ids=["one byte in 50", "one byte in 1000"])
def test_bulk_and_live_agree_over_several_blocks_of_samples(every: int) -> None:
    rng = random.Random(3)
    sent: list[Message] = [
        Heartbeat(i & 0xFFFF, i * 1000, True, i, 0, 0, 0, 0, 0)
        if i % 500 == 0
        else Sample(i & 0xFFFF, i * 1000, rng.randrange(256), i, rng.randrange(-500, 500))
        for i in range(20_000)
    ]
    pieces = [damage(stream_of(sent), seed=every, every=every)]
    assert bulk_fed(pieces, loop_below=64) == fed(MessageDecoder(), pieces)


def test_seqs_are_those_of_every_good_frame_in_order() -> None:
    sent = random_messages(seed=11, n=500)
    decoded = BulkDecoder().feed(stream_of(sent))
    assert decoded.seqs.tolist() == [message.seq for message in sent]


def test_samples_have_the_promised_fields_also_when_there_are_none() -> None:
    assert BulkDecoder().feed(b"").samples.dtype == SAMPLE_DTYPE


def test_found_arrays_may_be_written_to() -> None:
    decoded = BulkDecoder().feed(stream_of([Sample(0, 0, 0, 0, 0)]))
    decoded.samples["value"] = 5
    assert decoded.samples["value"].tolist() == [5]


def test_endless_run_keeps_no_memory_in_bulk() -> None:
    decoder = BulkDecoder()
    for _ in range(100):
        decoder.feed(b"\x01" * 1000)
    assert counters(decoder) == (0, 1, 0)


@pytest.mark.parametrize("length", [0, 1, 2, 7, 8, 15, 16, 100])
def test_crc_of_columns_is_that_of_each_body(length: int) -> None:
    rng = np.random.default_rng(length)
    bodies = rng.integers(0, 256, (length, 50), dtype=np.uint8)
    assert crc16_columns(bodies).tolist() == [plain_crc16(bodies[:, i].tobytes()) for i in range(50)]


@pytest.mark.parametrize("length", [MIN_RUN, 19, 50, MAX_RUN])
def test_columns_open_as_each_run_does_whatever_its_codes(length: int) -> None:
    # Small codes make well-formed runs likely, large ones point beyond the end and, in 8 bits, wrap.
    rng = np.random.default_rng(length)
    runs = rng.choice([1, 2, 3, 4, 200, 255], (length, 500), p=[0.3, 0.3, 0.2, 0.18, 0.01, 0.01]).astype(
        np.uint8
    )
    good = np.frombuffer(b"".join(encode_frame(bytes([i]) * (length - 3))[:-1] for i in range(50)), np.uint8)
    runs[:, :50] = good.reshape(50, length).T
    bodies, passed = open_columns(runs)
    found = [bodies[:, i].tobytes() if passed[i] else None for i in range(500)]
    assert found == [open_run(runs[:, i].tobytes()) for i in range(500)]
