"""The pages about boards say what the program does: frames, commands, lines of text, files they name."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from places import ROOT
from wire_cases import VECTORS

from logger.decoding.rig import read_rig
from logger.decoding.text_lines import LineDecoder
from logger.wire.board_commands import VERBS, format_command
from logger.wire.framing import cobs_encode, crc16, encode_frame
from logger.wire.layout import (
    CAP_ANALOGUE,
    CAP_BATCH,
    CAP_BUTTON,
    CAP_BUZZER,
    CAP_DIGITAL,
    CAP_INDEX,
    CAP_TEXT,
)
from logger.wire.messages import Batch, Message, Unknown
from logger.wire.parsing import MessageDecoder
from logger.wire.text_frames import format_line, parse_line

NOTES = ROOT / "firmware-notes"
PAGES = sorted(NOTES.glob("*.md"))
WIRE = (NOTES / "wire.md").read_text(encoding="utf-8")

ROWS = re.findall(r"^\| (\w+) \| `([0-9a-f]+)` \| (.*) \|$", WIRE, re.M)


def message_of(stream: str) -> Message:
    """Return the one message in these bytes, in hex."""
    (message,) = MessageDecoder().feed(bytes.fromhex(stream))
    return message


def spelled(value: object) -> str:
    """Return a field's value as the page spells it."""
    if isinstance(value, tuple):
        return ",".join(map(str, value))
    return str(int(value)) if isinstance(value, bool | int) else str(value).replace(" ", "_")


@pytest.mark.parametrize(("name", "stream", "fields"), ROWS, ids=[row[0] for row in ROWS])
def test_an_example_frame_says_what_the_page_says_it_does(name: str, stream: str, fields: str) -> None:
    message = message_of(stream)
    for key, value in re.findall(r"(\w+)=(\S+)", fields):
        assert spelled(getattr(message, key)) == value, f"{name}: {key}"


@pytest.mark.parametrize(("name", "stream"), [row[:2] for row in ROWS], ids=[row[0] for row in ROWS])
def test_an_example_frame_is_what_our_encoder_makes(name: str, stream: str) -> None:
    frame = encode_frame(message_of(stream).encode()).hex()
    assert stream == ("00" + frame if name.startswith("hello") else frame)


def test_every_vector_of_the_tests_is_on_the_page() -> None:
    names = {line.split(",")[0] for line in VECTORS.read_text().splitlines() if not line.startswith("#")}
    assert {row[0] for row in ROWS} == names - {"name"}


def test_every_kind_of_message_has_an_example() -> None:
    assert {type(message_of(stream)) for _, stream, _ in ROWS} == set(Message.__args__)


def test_the_check_value_of_the_crc_is_the_published_one() -> None:
    # CRC-16/IBM-3740 over the nine digits; the value that catalogues of crc parameters print.
    assert "0x29B1" in WIRE
    assert crc16(b"123456789") == 0x29B1


@pytest.mark.parametrize(("plain", "stuffed"), re.findall(r"`([0-9 ]+)` becomes `([0-9 ]+)`", WIRE))
def test_a_cobs_example_is_right(plain: str, stuffed: str) -> None:
    assert cobs_encode(bytes.fromhex(plain)) == bytes.fromhex(stuffed)


def test_the_line_of_text_mode_checks() -> None:
    (line,) = re.findall(r"^S .*$", WIRE, re.M)
    sample = parse_line(line)
    assert sample is not None
    assert (sample.seq, sample.t_us, sample.count, sample.value) == (2, 1000123, -5, 70000)


def test_every_verb_is_on_the_page_and_no_other() -> None:
    rows = WIRE[WIRE.index("| command | what it does |") :].split("\n\n")[0]
    named = {match for row in rows.splitlines()[2:] for match in re.findall(r"`(\w+)", row.split("|")[1])}
    assert named == set(VERBS)


def test_the_longest_command_line_is_as_long_as_told() -> None:
    assert "at most 40 characters" in WIRE
    assert len(format_command("beep", "1" * 34)) == 40
    with pytest.raises(ValueError, match="41"):
        format_command("beep", "1" * 35)


def test_the_bits_of_caps_are_those_of_the_program() -> None:
    bits = [CAP_DIGITAL, CAP_ANALOGUE, CAP_INDEX, CAP_BATCH, CAP_TEXT, CAP_BUTTON, CAP_BUZZER]
    named = re.search(r"\*\*caps\*\*: (.*)\.", WIRE)
    assert named is not None
    assert [int(part.split()[0]) for part in named[1].split(", ")] == bits


def test_the_first_bytes_of_a_body_are_as_told() -> None:
    body = Unknown(0x1234, 0x12345678, 90).encode()
    assert body == bytes([90, 0, 0x34, 0x12, 0x78, 0x56, 0x34, 0x12])


def test_a_batch_is_as_long_as_told() -> None:
    assert len(Batch(0, 0, 0, 0, 500, (0,) * 28, (0,) * 28).encode()) == 16 + 3 * 28


def test_the_rig_file_for_text_mode_reads_its_lines() -> None:
    decoder = LineDecoder(read_rig(str(NOTES / "text_mode.toml")).line)
    (sample,) = decoder.feed(0, format_line(2, 1000123, -5, 70, 0))
    assert (sample.t_us, sample.count, sample.value_nm) == (1000123, -5, 70_000)


def test_the_rig_file_for_text_mode_refuses_a_damaged_line() -> None:
    decoder = LineDecoder(read_rig(str(NOTES / "text_mode.toml")).line)
    assert decoder.feed(0, format_line(2, 1000123, -5, 70, 0).replace(b"70", b"71")) == []
    assert decoder.bad == 1


@pytest.mark.parametrize("page", PAGES, ids=[page.name for page in PAGES])
def test_a_page_names_only_files_that_are_there(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    linked = re.findall(r"\]\(([^)#]+)\)", text)
    named = re.findall(r"`((?:reference/|firmware-notes/)?[\w/]+\.(?:py|toml|md|c|h))`", text)
    roots = (NOTES, NOTES.parent, NOTES / "reference" / "board")
    missing = [name for name in (*linked, *named) if not any((root / name).exists() for root in roots)]
    assert missing == []


@pytest.mark.skipif(shutil.which("cc") is None, reason="no C compiler")
def test_the_c_of_the_page_makes_our_crc(tmp_path: Path) -> None:
    page = (NOTES / "own-board.md").read_text(encoding="utf-8")
    (code,) = re.findall(r"^```c\n(.*?)^```$", page, re.M | re.S)
    head = '#include <stdint.h>\n#include <stdio.h>\nint main(void) { const char *line = "123456789";\n'
    source, program = tmp_path / "crc.c", tmp_path / "crc"
    source.write_text(f'{head}{code}printf("%04X", crc); return 0; }}\n')
    subprocess.run(["cc", "-Wall", "-Wextra", "-Werror", "-o", program, source], check=True)
    made = subprocess.run([program], capture_output=True, text=True, check=True)
    assert made.stdout == f"{crc16(b'123456789'):04X}"
