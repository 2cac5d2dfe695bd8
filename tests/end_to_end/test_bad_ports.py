"""Ports that are absent, held, silent or talk nonsense: one line that says what to do, and the status of the link."""

import subprocess
import threading
from pathlib import Path

import pytest
from boards import newer_hello
from pseudo_terminals import Cable, cable
from running import Ran, inside, one_line, refusals, start_python

from logger.practice.serving.ends import pty_available
from logger.recording import RecordingReader
from logger.stream import LinkBytes

needs_pty = pytest.mark.skipif(not pty_available(), reason="this system has no pseudo-terminals")


# --- ports ------------------------------------------------------------------------------------------------


def test_a_port_that_is_not_there(home: Path, capsys: pytest.CaptureFixture[str]):
    for line in refusals(capsys, 4, "record", "/dev/nothing-here", "--turns", "1"):
        assert line.startswith("no port /dev/nothing-here: ")


def test_nothing_is_left_where_a_port_is_not_there(home: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "record", "/dev/nothing-here", "--turns", "1")
    assert not list(home.rglob("*.mcap"))


@needs_pty
def test_a_port_held_by_another_process(home: Path, capsys: pytest.CaptureFixture[str]):
    hold = """
import serial, sys
port = serial.Serial(sys.argv[1], exclusive=True)
print("held", flush=True)
input()
port.close()
"""
    with cable() as plugged, start_python(home, hold, plugged.path, stdin=subprocess.PIPE) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        lines = refusals(capsys, 4, "record", plugged.path, "--turns", "1")
        other.communicate("\n")
    for line in lines:
        assert f"{plugged.path} is held by another program: end that one" in line


def record_from(plugged: Cable, said: bytes, capsys: pytest.CaptureFixture[str]) -> Ran:
    """Record from a device that says this over and over, until the command has had enough."""
    ended = threading.Event()

    def send() -> None:
        while said and not ended.wait(0.02):
            plugged.send(said)

    sending = threading.Thread(target=send)
    sending.start()
    try:
        return inside(capsys, "record", plugged.path, "--turns", "1", "--out", "kept.mcap", "--json")
    finally:
        ended.set()
        sending.join()


NONSENSE = {
    "lines of another gauge": b"+00.134 mm\r\n",
    "zeros and letters": b"\x00abc\x00\x05defg\x00",
    "a stuck line": b"\xff" * 50,
}


@needs_pty
@pytest.mark.parametrize("said", NONSENSE.values(), ids=NONSENSE)
def test_a_port_that_talks_nonsense(said: bytes, home: Path, capsys: pytest.CaptureFixture[str]):
    with cable() as plugged:
        ran = record_from(plugged, said, capsys)
    line = one_line(ran)
    assert ran.status == 4
    assert "talks, but not this wire" in line
    assert "expected a hello within 3 s; check baud rate and port" in line
    # What came is kept, and named where to find.
    assert line.endswith("what came is kept in kept.mcap")
    kept = b"".join(item.data for item in RecordingReader("kept.mcap").items() if isinstance(item, LinkBytes))
    assert kept.startswith(said)


@needs_pty
def test_a_port_that_says_nothing(home: Path, capsys: pytest.CaptureFixture[str]):
    with cable() as plugged:
        ran = record_from(plugged, b"", capsys)
    assert ran.status == 4
    assert "No hello from the board within 3 s" in one_line(ran)
    # An empty file would only be found later and wondered at.
    assert not Path("kept.mcap").exists()


@needs_pty
def test_a_board_of_a_newer_wire(home: Path, capsys: pytest.CaptureFixture[str]):
    with cable() as plugged:
        ran = record_from(plugged, newer_hello(), capsys)
    assert ran.status == 2
    assert "version 2" in one_line(ran)
    assert "kept.mcap" in one_line(ran)
