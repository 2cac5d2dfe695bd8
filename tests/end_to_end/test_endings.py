"""How a command ends: every signal alike, nothing lost of what came, and no status that says what is not so."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from places import ROOT
from running import (
    COMMAND,
    GUARD_S,
    Ran,
    environment,
    finish,
    fullturn,
    practice_file,
    said,
    start,
    start_python,
)

from logger.recording import RecordingReader

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals and /dev/full are of Unix")

FOUND = "practice:wind-pump/as-found"
LIMIT = ("--limit", "0.050 mm")
ENDINGS = ("SIGINT", "SIGTERM", "SIGHUP")
OVER = 1


def closed(path: Path) -> bool:
    reader = RecordingReader(path)
    for _ in reader.items():
        pass
    return reader.closed


# --- output that cannot be written ------------------------------------------------------------------------


def into(home: Path, where: str, *arguments: object) -> int:
    """Run a command by a shell that sends its output there; return its status."""
    line = f'"$@" {where}'
    ran = subprocess.run(
        ["bash", "-c", line, "bash", *COMMAND, *map(str, arguments)],
        cwd=home, env=environment(home), stdin=subprocess.DEVNULL, timeout=GUARD_S, check=False,
        stderr=subprocess.DEVNULL if "2>" not in where else None, stdout=subprocess.DEVNULL,
    )  # fmt: skip
    return ran.returncode


NOWHERE = {
    "standard output is full": ">/dev/full",
    "standard output is closed": ">&-",
    "standard error is full": "2>/dev/full",
    "standard error is closed": "2>&-",
    "both are full": ">/dev/full 2>&1",
    "all three are closed": ">&- 2>&- <&-",
}


@pytest.mark.parametrize("where", NOWHERE.values(), ids=NOWHERE)
def test_output_that_cannot_be_written_changes_neither_recording_nor_status(tmp_path: Path, where: str):
    status = into(tmp_path, where, "record", FOUND, "--turns", "3", "--out", "a.mcap")
    assert status == OVER
    assert closed(tmp_path / "a.mcap")
    assert fullturn(tmp_path, "history", "--json").result["turns"][-1]["state"] == "over"


@pytest.mark.parametrize("where", [">/dev/full", ">&-", "| true; exit ${PIPESTATUS[0]}"])
def test_a_sweep_printed_nowhere_ends_with_its_verdict(tmp_path: Path, where: str):
    file = practice_file(tmp_path / "a.mcap")
    assert into(tmp_path, where, "sweep", file, "--json") == OVER


@pytest.mark.parametrize("where", ["2>/dev/full", "2>&-"])
def test_a_refusal_that_cannot_be_said_is_no_verdict(tmp_path: Path, where: str):
    assert into(tmp_path, where, "sweep", "nothere.mcap") == 2


def test_progress_that_nobody_reads_any_more_ends_nothing(tmp_path: Path):
    # The reader of both streams leaves after the first line.
    line = "2>&1 | head -1; exit ${PIPESTATUS[0]}"
    assert into(tmp_path, line, "record", FOUND, "--turns", "5", "--out", "a.mcap") == OVER
    assert closed(tmp_path / "a.mcap")


def test_a_disk_that_is_full_ends_2_and_what_was_written_is_readable(tmp_path: Path):
    # A real limit of the system: no file of this command may grow over 40 KiB.
    limited = ["bash", "-c", 'ulimit -f 40; exec "$@"', "bash", *COMMAND]
    ran = subprocess.run(
        [*limited, "record", FOUND, *LIMIT, "--no-store", "--out", "a.mcap"], cwd=tmp_path,
        env=environment(tmp_path), capture_output=True, text=True, timeout=GUARD_S, check=False,
    )  # fmt: skip
    assert (ran.returncode, ran.stdout) == (2, "")
    assert "cannot be written on" in ran.stderr.splitlines()[-1]
    found = fullturn(tmp_path, "check-file", "a.mcap", "--json").result
    assert not found["closed"]
    assert found["frames"] > 500
    # And the whole turns in it are read as those of any other recording.
    assert len(fullturn(tmp_path, "sweep", "a.mcap", "--json").result["turns"]) >= 1


FAULTY = {
    "an installation with holes": "import sys; sys.modules['click'] = None; import logger.__main__",
    "a fault before any command": "import logger.__main__ as m; m.run = None; m.main([])",
    "a fault that has no room for its traceback": (
        "import tempfile; tempfile.tempdir = '/proc/nowhere'\n"
        "import logger.__main__ as m\n"
        "def broken(*_, **__): raise RuntimeError('broken')\n"
        "m.cli.make_context = broken\n"
        "m.main(['sweep'])"
    ),
}  # fmt: skip


@pytest.mark.parametrize("lines", FAULTY.values(), ids=FAULTY)
def test_a_fault_never_ends_as_a_verdict_does(tmp_path: Path, lines: str):
    assert finish(start_python(tmp_path, lines)).status == 5


# --- signals ------------------------------------------------------------------------------------------------


# Lines of a gauge at a terminal's pace, for ever: what is recorded from them ends only when it is asked to.
GAUGE = """
import math, sys, time
k = 0
while True:
    print(f"{k * 5000} {k * 12} {0.05 * math.cos(2 * math.pi * k * 12 / 2400):.4f}", flush=True)
    k += 1
    time.sleep(0.002)
"""
RIG = ROOT / "firmware-notes" / "tiny_sender.toml"


def recording_of_lines(home: Path, *more: object) -> tuple[subprocess.Popen[str], subprocess.Popen[str]]:
    """Start to record lines that come without end; return the gauge and the recording of it."""
    gauge = subprocess.Popen([sys.executable, "-c", GAUGE], stdout=subprocess.PIPE, text=True)
    assert gauge.stdout is not None
    recording = start(
        home, "record", "-", "--rig", RIG, *LIMIT, "--out", "a.mcap", *more,
        stdin=gauge.stdout.fileno(),
    )  # fmt: skip
    return gauge, recording


def ended(gauge: subprocess.Popen[str]) -> None:
    gauge.kill()
    gauge.communicate()


def printed_and_closed(home: Path, gauge: subprocess.Popen[str], recording: subprocess.Popen[str]) -> Ran:
    """Return what a recording leaves that a signal ended: its result, 0 and a whole file."""
    ran = finish(recording)
    ended(gauge)
    assert ran.status == 0
    assert ran.first_line.startswith("Face runout")
    assert closed(home / "a.mcap")
    return ran


@pytest.mark.parametrize("name", ENDINGS)
def test_every_signal_closes_prints_and_ends_with_0(tmp_path: Path, name: str):
    gauge, recording = recording_of_lines(tmp_path, "--turns", "1000")
    said(recording, "turn 2 of 1000 is round")
    recording.send_signal(getattr(signal, name))
    assert "recorded to a.mcap" in printed_and_closed(tmp_path, gauge, recording).err
    (row, *_) = fullturn(tmp_path, "history", "--json").result["turns"]
    found = fullturn(tmp_path, "sweep", "a.mcap", "--json").result["decision"]["state"]
    assert (row["state"], row["ended"]) == (found, "closed")


@pytest.mark.parametrize("name", ENDINGS)
def test_further_signals_lose_nothing(tmp_path: Path, name: str):
    gauge, recording = recording_of_lines(tmp_path)
    said(recording, "turn 2 is round")
    recording.send_signal(signal.SIGINT)
    # However fast they come, and until it has ended.
    further = 0
    while recording.poll() is None:
        recording.send_signal(getattr(signal, name))
        further += 1
        if further % 50 == 0:
            os.sched_yield()
    assert "closing" in printed_and_closed(tmp_path, gauge, recording).err


def test_a_command_that_is_stopped_before_its_result_is_no_verdict(tmp_path: Path):
    lines = (
        "import logger.__main__ as m\n"
        "def stopped(*_, **__): raise KeyboardInterrupt\n"
        "m.cli.make_context = stopped\n"
        "m.main(['sweep', 'a.mcap'])"
    )  # fmt: skip
    ran = finish(start_python(tmp_path, lines))
    assert (ran.status, ran.err) == (4, "fullturn: ended before there was a result\n")


# Makes the terminal its own, as a window does for its shell: whoever closes it then sends SIGHUP.
AT_ITS_TERMINAL = """
import fcntl, os, sys, termios
os.setsid()
fcntl.ioctl(0, termios.TIOCSCTTY, 0)
os.execv(sys.argv[1], sys.argv[1:])
"""


def watched(home: Path) -> tuple[subprocess.Popen[bytes], int]:
    """Open the screen at a pseudo-terminal of its own; return it and the terminal's other end."""
    ours, theirs = os.openpty()

    process = subprocess.Popen(
        [sys.executable, "-c", AT_ITS_TERMINAL, *COMMAND, "watch", FOUND], stdin=theirs, stdout=theirs,
        stderr=theirs, cwd=home, env=environment(home) | {"TERM": "xterm-256color"},
    )  # fmt: skip
    os.close(theirs)
    return process, ours


def drained(ours: int, process: subprocess.Popen[bytes], there: Callable[[], bool]) -> None:
    """Read what the screen paints until something is there."""
    while not there():
        assert process.poll() is None, "the screen ended by itself"
        os.read(ours, 65536)


@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP", "the terminal is closed"])
def test_the_screen_closes_its_recording_whatever_ends_it(tmp_path: Path, name: str):
    folder = tmp_path / "data" / "unnamed"
    folder.mkdir(parents=True)
    forgotten = practice_file(folder / "forgotten.mcap")
    os.utime(forgotten, (0, 0))
    process, ours = watched(tmp_path)
    drained(ours, process, lambda: any(path.stat().st_size > 20_000 for path in folder.glob("2*.mcap")))
    if name in ENDINGS:
        process.send_signal(getattr(signal, name))
        try:
            while os.read(ours, 65536):
                pass
        except OSError:
            pass  # the screen has let go of it
        os.close(ours)
    else:
        os.close(ours)
    assert process.wait(GUARD_S) == 0
    (path,) = folder.glob("2*.mcap")
    assert closed(path)
    # Nobody named the other one, years ago: it is somebody's measurement all the same.
    assert forgotten.exists()


# --- short of what was asked for ----------------------------------------------------------------------------


def test_a_bench_that_ends_before_the_turns_asked_for_ends_4_with_its_result(tmp_path: Path):
    ran = fullturn(
        tmp_path, "record", "practice:wind-pump/as-left", "--turns", "20", "--out", "a.mcap", "--json"
    )
    assert ran.status == 4
    assert 1 <= len(ran.result["turns"]) < 20
    assert "20 turns were asked for: the sweep is short" in ran.err
    assert closed(tmp_path / "a.mcap")


def test_lines_that_end_before_the_turns_asked_for_end_4(tmp_path: Path):
    gauge, recording = recording_of_lines(tmp_path, "--turns", "50")
    said(recording, "turn 2 of 50 is round")
    ended(gauge)
    ran = finish(recording)
    assert ran.status == 4
    assert ran.first_line.startswith("Face runout")
    assert "50 turns were asked for" in ran.err


def test_what_was_asked_for_to_the_last_turn_is_not_short(tmp_path: Path):
    assert fullturn(tmp_path, "record", FOUND, "--turns", "3", "--out", "a.mcap").status == OVER


# --- a series of the practice bench -------------------------------------------------------------------------


def test_a_series_of_the_bench_is_another_sweep_each_time_and_goes_on_in_time(tmp_path: Path):
    ran = fullturn(tmp_path, "record", FOUND, "--turns", "2", "--every", "20 s", "--for", "45 s", "--json")
    assert ran.status == OVER
    assert len({one["pooled"]["tir_fit_mm"] for one in ran.result["files"]}) == 3
    turns = fullturn(tmp_path, "history", "--json").result["turns"]
    began = [turns[2 * k]["recorded"][11:19] for k in range(3)]
    seconds = [
        sum(int(part) * unit for part, unit in zip(at.split(":"), (3600, 60, 1), strict=True)) for at in began
    ]
    # Each begins 20 s after the one before; the hand of another seed is not as quick to the end of its turn.
    assert [second - seconds[0] for second in seconds] == pytest.approx([0, 20, 40], abs=8)
