"""Commands and answers as text, from both ends."""

import pytest
from hypothesis import given, strategies as st

from logger.wire.board_commands import MAX_LINE, Answer, Command, CommandParser, format_command, parse_answer

LINES = [
    (("hello",), None, b"hello\n"),
    (("rate", 1000), 7, b"7 rate 1000\n"),
    (("mode", "batch"), 65535, b"65535 mode batch\n"),
    (("zero",), 0, b"0 zero\n"),
    (("lamp", 1), None, b"lamp 1\n"),
]

ANSWERS = [
    ("7 ok rate 1000", Answer(7, True, ("rate", "1000"))),
    ("7 err range", Answer(7, False, ("range",))),
    ("7 ok", Answer(7, True, ())),
    ("ok stop", Answer(None, True, ("stop",))),
    ("7", Answer(None, False, ("7",))),
    ("", Answer(None, False, ())),
    ("7 okay rate", Answer(None, False, ("7", "okay", "rate"))),
    ("70000 ok rate", Answer(None, False, ("70000", "ok", "rate"))),
    ("queue full", Answer(None, False, ("queue", "full"))),
]


@pytest.mark.parametrize(("words", "token", "line"), LINES)
def test_command_is_written_as_its_line(words: tuple[str | int, ...], token: int | None, line: bytes) -> None:
    assert format_command(str(words[0]), *words[1:], token=token) == line


@pytest.mark.parametrize(("words", "token", "line"), LINES)
def test_line_is_read_back_as_the_command(
    words: tuple[str | int, ...], token: int | None, line: bytes
) -> None:
    assert CommandParser().feed(line) == [Command(token, str(words[0]), tuple(map(str, words[1:])))]


@pytest.mark.parametrize(
    ("words", "token"),
    [
        (("move", 1), None),
        (("rate", "1 0"), None),
        (("rate", ""), None),
        (("mode", "single\nzero"), None),
        (("mode", "é"), None),
        (("ident",), -1),
        (("ident",), 65536),
        (("ident", "x" * 34), None),
    ],
)
def test_what_cannot_be_sent_is_refused(words: tuple[str | int, ...], token: int | None) -> None:
    with pytest.raises(ValueError, match="found"):
        format_command(str(words[0]), *words[1:], token=token)


def test_longest_line_is_sent_and_read() -> None:
    line = format_command("ident", "x" * 33)
    assert (len(line), len(CommandParser().feed(line))) == (MAX_LINE, 1)


@pytest.mark.parametrize(("text", "answer"), ANSWERS)
def test_answer_is_read(text: str, answer: Answer) -> None:
    assert parse_answer(text) == answer


@given(st.text(max_size=64))
def test_any_answer_is_read_without_raising(text: str) -> None:
    assert parse_answer(text).ok in (True, False)


def test_commands_come_out_whatever_the_pieces() -> None:
    parser = CommandParser()
    found = [
        command for byte in b"1 stop\r\n\nping\n3 rate 50\nsta" for command in parser.feed(bytes([byte]))
    ]
    assert found == [Command(1, "stop", ()), Command(None, "ping", ()), Command(3, "rate", ("50",))]


@pytest.mark.parametrize("line", [b"x" * 41, b"7", b"rate \x00 5", b"\xff\xfe", b"   "])
def test_unreadable_line_is_counted(line: bytes) -> None:
    parser = CommandParser()
    assert (parser.feed(line + b"\n"), parser.rx_errors) == ([], 1)


def test_line_after_an_endless_one_is_read() -> None:
    parser = CommandParser()
    parser.feed(b"x" * 100_000)
    assert parser.feed(b"\nstop\n") == [Command(None, "stop", ())]


def test_tail_of_an_endless_line_is_no_command() -> None:
    assert CommandParser().feed(b"x" * 60 + b" zero\n") == []


@given(st.binary(max_size=200))
def test_any_bytes_are_read_without_raising(data: bytes) -> None:
    parser = CommandParser()
    lines = [line for line in data.replace(b"\r", b"").split(b"\n")[:-1] if line]
    assert len(parser.feed(data)) + parser.rx_errors == len(lines)
