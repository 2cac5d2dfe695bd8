"""Serials as they are typed: many in short, one on a line, and the two words that are commands."""

import pytest

from analysis.errors import BadInput
from logger.batch.serials import LONGEST, Again, Named, Skip, expand_serials, parse_line


def test_a_range_keeps_its_zeros() -> None:
    assert expand_serials("A-{001..003}") == ("A-001", "A-002", "A-003")
    assert expand_serials("{8..11}b") == ("8b", "9b", "10b", "11b")
    assert expand_serials("A-{1..2}, C 7 ,B-{09..10}") == ("A-1", "A-2", "C 7", "B-09", "B-10")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("A-{3..1}", "runs backwards"),
        ("A-{1..3", "expected one range"),
        ("A-{1..2}{1..2}", "expected one range"),
        ("A-{1-3}", "expected one range"),
        ("A-1,A-2,A-1", "names A-1 twice"),
        ("A-{1..20000}", "more than"),
        ("A-{1..9000},B-{1..9000}", "more than"),
        ("A-1,,A-2", "empty line"),
        ("", "empty line"),
        ("A-1,again", "is a command"),
        ("skip it", "is a command"),
        ("A\t1", "cannot be printed"),
    ],
)
def test_a_list_that_is_none_is_refused(text: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        expand_serials(text)


@pytest.mark.parametrize("serial", ["A-001", "A 0;02", "=1+1", "skipper", "once again", "\u00e4-7", "-3"])
def test_any_printable_line_is_a_serial(serial: str) -> None:
    assert parse_line(f"  {serial}\r\n") == Named(serial)


@pytest.mark.parametrize("line", ["again", " AGAIN "])
def test_again_is_a_command(line: str) -> None:
    assert parse_line(line) == Again()


def test_skip_has_its_reason() -> None:
    assert parse_line("Skip burr; on =face") == Skip("burr; on =face")
    with pytest.raises(BadInput, match="needs its reason"):
        parse_line("skip ")


@pytest.mark.parametrize("line", ["", "   ", "A\x1d1", "\u202eA-1", "A" * (LONGEST + 1)])
def test_a_line_that_is_no_serial_is_refused(line: str) -> None:
    with pytest.raises(BadInput):
        parse_line(line)
