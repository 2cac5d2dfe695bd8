"""Lines of a gauge: one that cannot be is counted and kept as an example, and costs the others nothing."""

import random

import pytest

from analysis.errors import BadInput
from logger.decoding.line_link import LineLink
from logger.decoding.rig import read_rig, rig_of_setup
from logger.session import Session
from logger.stream import HostTime

HOST = HostTime(0, 5_000_000_000)
SETUP = {
    "rig.line.pattern": r"^(?P<time>\S+) (?P<count>\S+) (?P<reading>\S+)( (?P<unit>\S+))?$",
    "rig.line.index": r"^I (?P<time>\S+)( (?P<count>\S+))?$",
    "rig.encoder.counts_per_turn": "2400",
}
GOOD = [f"{k * 5000} {k * 12} {0.001 * (k % 40):.3f}" for k in range(400)]

CANNOT_BE = [
    "2251250 99999999999999999999 0.1",
    f"2251250 {'9' * 30} 0.1",
    f"2251250 -{'9' * 900} 0.1",
    f"{'9' * 26} 5400 0.1",
    "-1e300 5400 0.1",
    "inf 5400 0.1",
    "nan 5400 0.1",
    "2251250 5400 1e30",
    "2251250 5400 -1e308",
    "2251250 5400 inf",
    "2251250 5400 nan",
    "2251250 5400 1e7 mm",
    "2251250 5400 0.1 furlongs",
    "2251250 5.4 0.1",
    "I nan",
    "I " + "9" * 400,
    "I 5 " + "9" * 400,
    "2251250 5400 " + "1" * 2000,
    "\xff\xfe\x00 \x1b[2J",
]


def link_after(lines: list[str], setup: dict[str, str] = SETUP) -> LineLink:
    link = Session(setup)._links.gauge
    assert isinstance(link, LineLink)
    link.feed(HOST, "".join(line + "\n" for line in lines).encode("latin-1"))
    return link


@pytest.mark.parametrize("line", CANNOT_BE, ids=range(len(CANNOT_BE)))
def test_a_line_that_cannot_be_is_bad_and_the_others_are_read(line: str):
    link = link_after([*GOOD[:200], line, *GOOD[200:]])
    clean = link_after(GOOD)
    assert (link.decoder.lines, link.decoder.bad) == (400, 1)
    for column in ("t_us", "count", "value"):
        assert (getattr(link.boots[0], column).view() == getattr(clean.boots[0], column).view()).all()
    assert link.boots[0].pulses == []


def test_a_line_without_the_reading_that_it_may_have_is_read():
    setup = {**SETUP, "rig.line.pattern": r"^(?P<count>\d+)( (?P<reading>\d+))?$"}
    assert link_after(["5", "6 1"], setup).decoder.lines == 2


@pytest.mark.parametrize("seed", range(5))
def test_bytes_at_random_raise_nothing_and_good_lines_among_them_are_read(seed: int):
    rng = random.Random(seed)
    link = Session(SETUP)._links.gauge
    assert isinstance(link, LineLink)
    for k in range(200):
        link.feed(HOST, rng.randbytes(rng.randrange(400)) + b"\n" + GOOD[k].encode() + b"\n")
    assert link.decoder.lines >= 200
    assert len(link.decoder.examples) == 3


# --- rigs that would never come to an end ------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["line.pattern", "line.index", "second.line.pattern", "encoder.index"])
def test_a_pattern_that_may_never_come_to_an_end_is_refused_by_name(key: str):
    setup = {"rig.line.pattern": r"(?P<reading>\d+)", "rig.encoder.counts_per_turn": "2400"}
    if key.startswith("second"):
        setup["rig.second.encoder.counts_per_turn"] = "2400"
    setup[f"rig.{key}"] = r"^(a+)+(?P<count>\d+)$"
    named = key.removeprefix("second.").replace("encoder", "line")
    with pytest.raises(
        BadInput, match=rf"{named} '\^\(a\+\)\+.* may never come to an end with a line: a repeat"
    ):
        rig_of_setup(setup)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("port.newline", "", "port.newline is empty"),
        ("port.baud", "inf", "port.baud"),
        ("port.baud", "nan", "port.baud"),
        ("line.pattern", "(" * 5000, "line.pattern is no regular expression"),
        ("line.pattern", r"(?P<reading>\d{99999999999})", "line.pattern is no regular expression"),
    ],
)
def test_what_no_rig_can_say_is_refused_by_name(key: str, value: str, words: str):
    with pytest.raises(BadInput, match=words):
        rig_of_setup({"rig.line.pattern": r"(?P<reading>\d+)", f"rig.{key}": value})


@pytest.mark.parametrize("text", ["a = " + "[" * 5000, "a = " + "9" * 5000, "\udcff", "[line]\npattern = 5"])
def test_a_rig_file_that_is_none_is_refused_in_words(tmp_path, text: str):
    path = tmp_path / "rig.toml"
    path.write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises(BadInput):
        read_rig(str(path))
