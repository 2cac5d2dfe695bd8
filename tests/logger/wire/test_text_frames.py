"""Text mode: one checked line a sample, both ways and damaged."""

import pytest
from hypothesis import given, strategies as st
from wire_cases import plain_crc16

from logger.wire.messages import Sample
from logger.wire.text_frames import format_line, parse_line

SAMPLE = Sample(2, 1000123, 0x20, -5, 70000)
TEXT = "S 2 1000123 -5 70000 32"
LINE = f"{TEXT}*{plain_crc16(TEXT.encode()):04X}\n"

samples = st.builds(
    Sample,
    st.integers(0, 2**16 - 1),
    st.integers(0, 2**32 - 1),
    st.integers(0, 255),
    st.integers(-(2**31), 2**31 - 1),
    st.integers(-(2**31), 2**31 - 1),
)


def checked(text: str) -> str:
    return f"{text}*{plain_crc16(text.encode()):04X}"


def test_sample_is_written_as_its_line() -> None:
    assert format_line(2, 1000123, -5, 70000, 0x20) == LINE.encode()


@pytest.mark.parametrize("end", ["", "\n", "\r\n"])
def test_line_is_read_with_any_end(end: str) -> None:
    assert parse_line(LINE.strip() + end) == SAMPLE


@given(samples)
def test_any_sample_comes_back(sample: Sample) -> None:
    line = format_line(sample.seq, sample.t_us, sample.count, sample.value, sample.flags)
    assert parse_line(line.decode("ascii")) == sample


@pytest.mark.parametrize("place", range(len(LINE) - 1))
def test_line_with_one_character_changed_is_refused(place: int) -> None:
    changed = [
        LINE[:place] + other + LINE[place + 1 :]
        for other in "0123456789ABCDEFS *-+ab"
        if other != LINE[place]
    ]
    assert [parse_line(line) for line in changed] == [None] * len(changed)


@pytest.mark.parametrize("place", range(len(LINE) - 1))
def test_line_with_one_character_dropped_is_refused(place: int) -> None:
    assert parse_line(LINE[:place] + LINE[place + 1 :]) is None


@pytest.mark.parametrize(
    "text",
    [
        "S 65536 0 0 0 0",
        "S 0 4294967296 0 0 0",
        "S 0 0 2147483648 0 0",
        "S 0 0 0 0 256",
        "S -1 0 0 0 0",
        "S 02 0 0 0 0",
        "S -0 0 0 0 0",
        "S +1 0 0 0 0",
        "S 1  0 0 0 0",
        "S 0 0 0 0",
        "S 0 0 0 0 0 0",
        "X 0 0 0 0 0",
        "S 0 0 0 ٣ 0",
    ],
)
def test_line_with_a_right_crc_and_wrong_numbers_is_refused(text: str) -> None:
    assert parse_line(checked(text)) is None


@given(st.text())
def test_any_text_is_read_without_raising(text: str) -> None:
    assert parse_line(text) is None


def test_sample_that_does_not_fit_is_not_written() -> None:
    with pytest.raises(ValueError, match="does not fit"):
        format_line(0, 0, 2**31, 0, 0)
