"""Frames: the crc and COBS against published values, every case both ways and in all pieces."""

import pytest
from hypothesis import given, strategies as st
from wire_cases import BODIES, CASES, Case, plain_crc16, plain_frame, read_vectors, vector_rows

from logger.wire.framing import (
    MAX_BODY,
    MAX_RUN,
    MIN_BODY,
    FrameDecoder,
    cobs_decode,
    cobs_encode,
    crc16,
    encode_frame,
)

each_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)

# S. Cheshire and M. Baker, Consistent Overhead Byte Stuffing, IEEE/ACM Transactions on Networking 7(2), 1999:
# the first is the paper's worked example, from memory; the rest follow from its rule, worked by hand.
COBS_PAIRS = [
    ("4500002c4c79000040064f37", "024501042c4c79010540064f37"),
    ("", "01"),
    ("00", "0101"),
    ("0000", "010101"),
    ("001100", "01021101"),
    ("11220033", "0311220233"),
    ("11000000", "0211010101"),
    ("01" * 254, "ff" + "01" * 254),
    ("00" + "01" * 254, "01ff" + "01" * 254),
    ("01" * 255, "ff" + "01" * 254 + "0201"),
    ("01" * 254 + "00", "ff" + "01" * 254 + "0101"),
    ("01" * 253 + "0001", "fe" + "01" * 253 + "0201"),
]


def test_crc_has_the_check_value_of_the_catalogue() -> None:
    # CRC RevEng catalogue of parametrised CRC algorithms, entry CRC-16/IBM-3740.
    assert crc16(b"123456789") == 0x29B1


@given(st.binary(max_size=120))
def test_crc_agrees_with_the_bitwise_definition(data: bytes) -> None:
    assert crc16(data) == plain_crc16(data)


@pytest.mark.parametrize(("plain", "stuffed"), COBS_PAIRS)
def test_cobs_encodes_the_known_pairs(plain: str, stuffed: str) -> None:
    assert cobs_encode(bytes.fromhex(plain)).hex() == stuffed


@pytest.mark.parametrize(("plain", "stuffed"), COBS_PAIRS)
def test_cobs_decodes_the_known_pairs(plain: str, stuffed: str) -> None:
    assert cobs_decode(bytes.fromhex(stuffed)).hex() == plain


@given(st.binary(max_size=1000) | st.binary(max_size=3).map(lambda data: b"\x07" * 252 + data))
def test_cobs_comes_back(data: bytes) -> None:
    assert cobs_decode(cobs_encode(data)) == data


@given(st.binary(max_size=1000))
def test_cobs_output_holds_no_zero(data: bytes) -> None:
    assert 0 not in cobs_encode(data)


@pytest.mark.parametrize("data", ["", "00", "010001", "03 01", "05 01 01", "ff 01"])
def test_malformed_cobs_is_a_value_error(data: str) -> None:
    with pytest.raises(ValueError, match="found"):
        cobs_decode(bytes.fromhex(data))


@each_case
def test_case_is_encoded_to_its_bytes(case: Case) -> None:
    assert encode_frame(case.message.encode()).hex() == case.frame


@pytest.mark.parametrize("name", BODIES)
def test_frame_of_a_body_written_by_hand(name: str) -> None:
    frame = next(case.frame for case in CASES if case.name == name)
    assert encode_frame(bytes.fromhex(BODIES[name])).hex() == frame


@each_case
def test_case_fed_whole_gives_its_body(case: Case) -> None:
    decoder = FrameDecoder()
    assert decoder.feed(bytes.fromhex(case.frame)) == [case.message.encode()]


@each_case
def test_case_fed_byte_by_byte_gives_its_body_at_the_closing_zero(case: Case) -> None:
    decoder = FrameDecoder()
    frame = bytes.fromhex(case.frame)
    found = [decoder.feed(frame[i : i + 1]) for i in range(len(frame))]
    assert found == [[]] * (len(frame) - 1) + [[case.message.encode()]]


@each_case
def test_case_with_a_tail_leaves_the_tail_pending(case: Case) -> None:
    decoder = FrameDecoder()
    frame = bytes.fromhex(case.frame)
    bodies = decoder.feed(frame + frame[:5])
    assert (bodies, decoder.frames, decoder.bad, decoder.pending) == ([case.message.encode()], 1, 0, 5)


@each_case
def test_tail_is_finished_by_the_next_piece(case: Case) -> None:
    decoder = FrameDecoder()
    frame = bytes.fromhex(case.frame)
    decoder.feed(frame + frame[:5])
    assert decoder.feed(frame[5:]) == [case.message.encode()]


@given(st.binary(min_size=MIN_BODY, max_size=MAX_BODY))
def test_frame_agrees_with_the_plain_encoder(body: bytes) -> None:
    assert encode_frame(body) == plain_frame(body)


@pytest.mark.parametrize("size", [0, MIN_BODY - 1, MAX_BODY + 1])
def test_body_of_a_wrong_size_is_not_encoded(size: int) -> None:
    with pytest.raises(ValueError, match="expected 8 to 100"):
        encode_frame(b"\x01" * size)


@pytest.mark.parametrize("size", [MIN_BODY - 1, MAX_BODY + 1])
def test_frame_of_a_wrong_size_is_bad_even_with_a_right_crc(size: int) -> None:
    decoder = FrameDecoder()
    assert (decoder.feed(plain_frame(b"\x05" * size)), decoder.bad) == ([], 1)


@pytest.mark.parametrize("size", [MIN_BODY, MAX_BODY])
def test_shortest_and_longest_body_pass(size: int) -> None:
    assert FrameDecoder().feed(plain_frame(b"\x05" * size)) == [b"\x05" * size]


def test_empty_frames_are_ignored() -> None:
    decoder = FrameDecoder()
    decoder.feed(b"\x00\x00\x00" + bytes.fromhex(CASES[0].frame) + b"\x00\x00")
    assert (decoder.frames, decoder.bad, decoder.pending) == (1, 0, 0)


def test_first_fragment_is_one_bad_frame_and_the_next_is_good() -> None:
    decoder = FrameDecoder()
    decoder.feed(bytes.fromhex(CASES[2].frame)[9:] + bytes.fromhex(CASES[0].frame))
    assert (decoder.frames, decoder.bad) == (1, 1)


@pytest.mark.parametrize("size", [MAX_RUN + 1, MAX_RUN + 2, 10_000])
def test_endless_run_is_one_bad_frame(size: int) -> None:
    decoder = FrameDecoder()
    decoder.feed(b"\x01" * size + b"\x00")
    assert decoder.bad == 1


def test_endless_run_is_counted_before_it_ends() -> None:
    decoder = FrameDecoder()
    decoder.feed(b"\x01" * (MAX_RUN + 1))
    assert (decoder.bad, decoder.pending) == (1, 0)


def test_longest_run_is_still_held() -> None:
    decoder = FrameDecoder()
    decoder.feed(b"\x01" * MAX_RUN)
    assert (decoder.bad, decoder.pending) == (0, MAX_RUN)


def test_endless_run_keeps_no_memory() -> None:
    decoder = FrameDecoder()
    for _ in range(1000):
        decoder.feed(b"\x01" * 100)
    assert decoder.pending <= MAX_RUN


def test_vector_file_says_where_it_is_from() -> None:
    from wire_cases import VECTORS

    assert VECTORS.read_text().splitlines()[0].startswith("# The project's own vectors")


def test_vector_file_holds_the_case_table() -> None:
    assert read_vectors() == list(vector_rows())
