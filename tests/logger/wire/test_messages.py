"""Messages: fields both ways, what is refused as impossible, and device text as data."""

import dataclasses

import pytest
from hypothesis import given, strategies as st
from wire_cases import BODIES, CASES, IMPOSSIBLE, Case, random_messages

from logger.wire.framing import MAX_BODY, encode_frame
from logger.wire.layout import MAX_BATCH, wrap_i32
from logger.wire.messages import (
    Batch,
    BoardError,
    Button,
    Channel,
    Heartbeat,
    Hello,
    Message,
    Reply,
    Sample,
    Unknown,
)
from logger.wire.parsing import MessageDecoder, parse_body

each_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)


@each_case
def test_case_fed_whole_gives_its_message(case: Case) -> None:
    assert MessageDecoder().feed(bytes.fromhex(case.frame)) == [case.message]


@each_case
def test_case_body_is_parsed_to_its_message(case: Case) -> None:
    assert parse_body(case.message.encode()) == case.message


@pytest.mark.parametrize("name", BODIES)
def test_body_written_by_hand_is_encoded(name: str) -> None:
    message = next(case.message for case in CASES if case.name == name)
    assert message.encode() == bytes.fromhex(BODIES[name])


def test_any_messages_come_back() -> None:
    messages = random_messages(seed=1, n=1000)
    assert [parse_body(message.encode()) for message in messages] == messages


@given(st.binary(max_size=MAX_BODY))
def test_parsing_never_raises_and_what_it_gives_comes_back(body: bytes) -> None:
    message = parse_body(body)
    assert message is None or parse_body(message.encode()) == message


@given(st.sampled_from(b"HCSBXKPRE"), st.binary(min_size=7, max_size=MAX_BODY - 1))
def test_known_types_with_any_content_come_back_or_are_refused(kind: int, rest: bytes) -> None:
    message = parse_body(bytes([kind]) + rest)
    assert message is None or parse_body(message.encode()) == message


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_impossible_body_is_refused(name: str) -> None:
    assert parse_body(bytes.fromhex(IMPOSSIBLE[name])) is None


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_impossible_body_in_a_good_frame_counts_as_bad(name: str) -> None:
    decoder = MessageDecoder()
    found = decoder.feed(encode_frame(bytes.fromhex(IMPOSSIBLE[name])))
    assert (found, decoder.frames, decoder.bad) == ([], 0, 1)


def test_unknown_type_is_a_good_frame() -> None:
    decoder = MessageDecoder()
    found = decoder.feed(encode_frame(b"Zz\x07\x00\x01\x00\x00\x00and whatever follows"))
    assert (found, decoder.frames, decoder.bad) == ([Unknown(7, 1, 0x5A)], 1, 0)


def test_body_shorter_than_its_header_is_refused() -> None:
    assert parse_body(b"S\x00\x00\x00\x00\x00\x00") is None


@pytest.mark.parametrize("length", [8, 36, 60])
def test_hello_of_a_newer_version_is_read_at_any_length(length: int) -> None:
    hello = parse_body((b"H\x02" + bytes(range(1, 99)))[:length])
    assert isinstance(hello, Hello)
    assert hello.version == 2


def test_flags_of_a_sample_are_told_apart() -> None:
    flags = [
        (s.channel, s.out_of_range, s.held, s.index_since, s.encoder_error)
        for s in (Sample(0, 0, flags, 0, 0) for flags in (0x0F, 0x10, 0x20, 0x40, 0x80))
    ]
    assert flags == [
        (15, False, False, False, False),
        (0, True, False, False, False),
        (0, False, True, False, False),
        (0, False, False, True, False),
        (0, False, False, False, True),
    ]


def test_batch_expands_to_evenly_timed_samples() -> None:
    batch = Batch(7, 3000000, 0x21, 1000, 500, (1, 0, -1), (100, -2, 300))
    assert batch.expand() == [
        Sample(7, 3000000, 0x21, 1001, 100),
        Sample(7, 3000500, 0x21, 1001, -2),
        Sample(7, 3001000, 0x21, 1000, 300),
    ]


def test_batch_across_the_wrap_of_the_clock_wraps() -> None:
    batch = Batch(0, 2**32 - 100, 0, 0, 100, (0, 0), (0, 0))
    assert [sample.t_us for sample in batch.expand()] == [2**32 - 100, 0]


def test_batch_across_the_wrap_of_the_count_wraps() -> None:
    batch = Batch(0, 0, 0, 2**31 - 1, 100, (0, 1, -1), (0, 0, 0))
    assert [sample.count for sample in batch.expand()] == [2**31 - 1, -(2**31), 2**31 - 1]


def test_longest_batch_fills_the_longest_body() -> None:
    batch = Batch(0, 0, 0, 0, 1, (-128, 127) * 14, (-32768, 32767) * 14)
    assert (len(batch.encode()), parse_body(batch.encode())) == (MAX_BODY, batch)


@pytest.mark.parametrize(
    ("number", "wrapped"), [(0, 0), (2**31 - 1, 2**31 - 1), (2**31, -(2**31)), (-(2**31) - 1, 2**31 - 1)]
)
def test_signed_32_bits_wrap(number: int, wrapped: int) -> None:
    assert wrap_i32(number) == wrapped


def test_device_text_loses_what_a_terminal_would_obey() -> None:
    body = Reply(0, 0, "").encode() + b"\x1b[2Jok\r\n\x00\x7f\xe9"
    assert parse_body(body) == Reply(0, 0, "?[2Jok?????")


def test_channel_name_loses_what_a_terminal_would_obey() -> None:
    body = bytearray(Channel(0, 0, 0, 1, 0, 1, 1, 0, 1, "abc").encode())
    body[-2] = 0x1B
    channel = parse_body(bytes(body))
    assert isinstance(channel, Channel)
    assert channel.name == "a?c"


def test_channel_without_a_unit_needs_no_scale() -> None:
    channel = Channel(0, 0, 3, 4, 0, 0, 0, 0, 0, "force")
    assert parse_body(channel.encode()) == channel


def test_button_let_go_is_not_down() -> None:
    assert parse_body(Button(0, 0, 0, 1, 0).encode()) == Button(0, 0, 0, 1, 0)


@pytest.mark.parametrize(
    "message",
    [
        Sample(65536, 0, 0, 0, 0),
        Sample(0, 2**32, 0, 0, 0),
        Sample(0, 0, 256, 0, 0),
        Sample(0, 0, 0, 2**31, 0),
        Sample(0, 0, 0, 0, -(2**31) - 1),
        Batch(0, 0, 0, 0, 0, (), ()),
        Batch(0, 0, 0, 0, 0, (0,) * (MAX_BATCH + 1), (0,) * (MAX_BATCH + 1)),
        Batch(0, 0, 0, 0, 0, (0,), (0, 0)),
        Batch(0, 0, 0, 0, 0, (128,), (0,)),
        Reply(0, 0, "x" * 65),
        BoardError(0, 0, "é"),
        Channel(0, 0, 0, 1, 0, 1, 1, 0, 1, "x" * 73),
        Unknown(0, 0, ord("S")),
    ],
    ids=lambda message: repr(message)[:60],
)
def test_what_does_not_fit_is_not_encoded(message: Message) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - any of them; which words does not matter
        message.encode()


def test_messages_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Heartbeat(0, 0, True, 0, 0, 0, 0, 0, 0).count = 1  # type: ignore[misc]
