"""Rows for tests of the store, invented, and a way to run lines of Python in a process of their own."""

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from places import ROOT

from analysis.store import SCHEMA_VERSION, RecordingRow, TurnRow
from analysis.store.opening import OURS, Ladder

NEXT = SCHEMA_VERSION + 1

NEXT_STEP = f'''
"""One version more, for tests only."""
import sqlalchemy as sa
from alembic import op

revision = "{NEXT:04d}"
down_revision = "{SCHEMA_VERSION:04d}"

def upgrade():
    op.add_column("recordings", sa.Column("of_tests", sa.Text))
'''


def longer_ladder(folder: Path, step: str = NEXT_STEP) -> Ladder:
    """Copy our migrations to a folder that is not there yet and add one more."""
    shutil.copytree(OURS.folder, folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "versions" / f"v{NEXT:04d}_bench.py").write_text(step)
    return Ladder(NEXT, folder)


def recording(recording_id: str = "r-1", **changes: Any) -> RecordingRow:
    """Return a recording of the flange."""
    fields: dict[str, Any] = {
        "file": "flange.mcap",
        "started": "2026-01-02T03:04:05Z",
        "part": "flange",
        "job": "7",
        "stage": "as found",
        "surface": "face",
        "setup": {"part": "flange", "limit": "0.050 mm"},
        "code_version": "0.1.0",
    }
    return RecordingRow(recording_id=recording_id, **(fields | changes))


def turn(number: int = 0, recording_id: str = "r-1", **changes: Any) -> TurnRow:
    """Return one turn with three orders."""
    fields: dict[str, Any] = {
        "direction": 1,
        "recorded": "2026-01-02T03:04:09Z",
        "samples": 360,
        "values": 300,
        "coverage": 0.99,
        "largest_gap_deg": 2.5,
        "rpm": 6.0,
        "tir_raw_mm": 0.151,
        "tir_fit_mm": 0.146,
        "tir_first_mm": 0.142,
        "high_point_deg": 50.3,
        "highest_order": 3,
        "cos_mm": [0.1, 0.2, 0.3],
        "sin_mm": [-0.1, -0.2, -0.3],
        "code_version": "0.1.0",
        "options": {"orders": 3},
    }
    return TurnRow(recording_id=recording_id, turn=number, **(fields | changes))


def start(lines: str, *arguments: object) -> subprocess.Popen[str]:
    """Start a Python of its own on these lines, with both packages and this module in reach."""
    return subprocess.Popen(
        [sys.executable, "-W", "error", "-c", lines, *map(str, arguments)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tests")])},
    )


def wait_here(process: "subprocess.Popen[str]") -> None:
    """Wait until a process has loaded everything and stands before what it is to do: it prints ``here``."""
    assert process.stdout is not None
    assert process.stdout.readline() == "here\n"


def let_go(process: "subprocess.Popen[str]") -> None:
    """Let a process go on that waits for a line."""
    assert process.stdin is not None
    process.stdin.write("go\n")
    process.stdin.flush()


def run(lines: str, *arguments: object) -> str:
    """Run these lines to their end and return what they printed."""
    with start(lines, *arguments) as process:
        out, _ = process.communicate()
    assert process.returncode == 0
    return out
