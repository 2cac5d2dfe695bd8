"""A stranger's sender works with `record` through a rig file: by a pipe, and on a real device file."""

import json
import os
import subprocess
import sys
import threading
from pathlib import Path
from typing import IO

import pytest
from places import ROOT

NOTES = ROOT / "firmware-notes"
RIG = NOTES / "tiny_sender.toml"
pytestmark = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are needed")


def environment(folder: Path) -> dict[str, str]:
    return {
        **os.environ,
        "HOME": str(folder),
        "FULLTURN_DATA": str(folder / "data"),
        "FULLTURN_CONFIG": str(folder / "config"),
        "FULLTURN_STORE": str(folder / "store.db"),
        "PYTHONPATH": str(ROOT),
    }


def recorded(port: str, folder: Path, feed: IO[bytes] | None = None) -> "subprocess.CompletedProcess[str]":
    """Record one turn from a port, or from what is fed to standard input."""
    return subprocess.run(
        [
            *(sys.executable, "-m", "logger", "record", port),
            *("--rig", str(RIG), "--turns", "1", "--json", "--limit", "0.1 mm"),
        ],
        stdin=feed,
        capture_output=True,
        text=True,
        env=environment(folder),
        cwd=folder,
        check=False,
    )


def agrees_with_the_sender(text: str) -> None:
    found = json.loads(text)
    assert found["link"]["bad"] == 0
    low, high = found["pooled"]["tir_first_95_mm"]
    assert low - 0.0002 <= 0.08 <= high + 0.0002  # one turn: a fifth of the gauge's step beside the interval
    assert found["pooled"]["high_side_deg"] == pytest.approx(120.0, abs=0.5)
    assert found["decision"]["state"] == "within"


def test_through_a_pipe(tmp_path: Path) -> None:
    sender = subprocess.Popen(
        [sys.executable, str(NOTES / "tiny_sender.py"), "-", "30"], stdout=subprocess.PIPE
    )
    ran = recorded("-", tmp_path, sender.stdout)
    sender.kill()
    sender.wait()
    assert sender.stdout is not None
    sender.stdout.close()
    assert ran.returncode == 0, ran.stderr
    agrees_with_the_sender(ran.stdout)


def test_on_a_device_file(tmp_path: Path) -> None:
    import tty

    board, port = os.openpty()
    tty.setraw(port)
    sender = subprocess.Popen(
        [sys.executable, str(NOTES / "tiny_sender.py"), "-", "60"], stdout=subprocess.PIPE
    )
    assert sender.stdout is not None
    feed = sender.stdout

    def carry() -> None:
        while data := feed.read1(4096):  # type: ignore[attr-defined]
            try:
                os.write(board, data)
            except OSError:
                return

    carrier = threading.Thread(target=carry, daemon=True)
    carrier.start()
    ran = recorded(os.ttyname(port), tmp_path)
    sender.kill()
    sender.wait()
    carrier.join()
    feed.close()
    os.close(board)
    os.close(port)
    assert ran.returncode == 0, ran.stderr
    agrees_with_the_sender(ran.stdout)


def test_lines_without_a_rig_are_asked_for(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "logger", "record", "-", "--turns", "1"],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env=environment(tmp_path),
        cwd=tmp_path,
        check=False,
    )
    assert ran.returncode == 2
    assert ran.stdout == ""
    assert "--rig" in ran.stderr
