"""Rows for tests of the store, invented, and a way to run lines of Python in a process of their own."""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
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


def fill(path: Path, *, recordings: int, turns: int) -> None:
    """Put so many recordings and turns of ten parts and twenty jobs into a store, with the database's own means."""
    with closing(sqlite3.connect(path)) as database, database:
        counting = "WITH RECURSIVE n(k) AS (SELECT 0 UNION ALL SELECT k + 1 FROM n WHERE k < ?) "
        at = "'2026-' || printf('%02d-%02dT%02d:00:00Z', 1 + k / 672 % 12, 1 + k / 24 % 28, k % 24)"
        part, job = "'part ' || (k % 10)", "'job ' || (k % 20)"
        database.execute(counting + "INSERT INTO parts (number, serial) SELECT 'part ' || k, '' FROM n", (9,))
        database.execute(counting + "INSERT INTO jobs (number) SELECT 'job ' || k FROM n", (19,))
        database.execute(
            counting + "INSERT INTO gauges (id, kind, added, source) "
            "SELECT 'gauge ' || k, 'indicator', '2026-01-01T00:00:00Z', 'register' FROM n",
            (4,),
        )
        first_part, first_job, first_gauge = (
            database.execute(f"SELECT {key} FROM {table} WHERE {name} LIKE '% 0'").fetchone()[0]
            for table, key, name in (
                ("parts", "part_id", "number"),
                ("jobs", "job_id", "number"),
                ("gauges", "gauge_id", "id"),
            )
        )
        setup = '{"part": "flange", "limit": "0.050 mm"}'
        database.execute(
            counting
            + "INSERT INTO recordings (recording_id, file, started, part, job, stage, surface, setup, "
            "code_version, sha256, closed, ended, part_id, job_id, gauge_id) "
            f"SELECT printf('filled-%08d', k), 'a.mcap', {at}, {part}, {job}, 'as found', 'face', ?, '0', "
            "printf('%064d', k), 1, 'closed', ? + k % 10, ? + k % 20, ? + k % 5 FROM n",
            (recordings - 1, setup, first_part, first_job, first_gauge),
        )
        database.execute(
            counting + "INSERT INTO analyses (recording_id, edition, code_version, options, state) "
            "SELECT printf('filled-%08d', k), 0, '0', '{}', CASE k % 3 WHEN 0 THEN 'over' ELSE 'within' END FROM n",
            (recordings - 1,),
        )
        database.execute(
            counting + "INSERT INTO decisions (recording_id, edition, n, quantity, state, made) "
            f"SELECT printf('filled-%08d', k), 0, 0, 'tir', CASE k % 3 WHEN 0 THEN 'over' ELSE 'within' END, {at} FROM n",
            (recordings - 1,),
        )
        database.execute(
            counting + "INSERT INTO left_out (recording_id, edition, from_deg, to_deg, reason) "
            "SELECT printf('filled-%08d', k), 0, 1, 2, 'chip' FROM n",
            (recordings - 1,),
        )
        each = max(1, turns // recordings)
        whole = "k / ?1"
        database.execute(
            counting.replace("?", "?2")
            + "INSERT INTO turns (recording_id, edition, turn, part, job, stage, direction, recorded, samples, "
            "gauge_values, tir_fit_mm, high_point_deg, highest_order, code_version, options) "
            f"SELECT printf('filled-%08d', {whole}), 0, k % ?1, 'part ' || ({whole} % 10), 'job ' || ({whole} % 20), "
            f"'as found', 1, {at.replace('k /', whole + ' /').replace('k %', whole + ' %')}, 360, 300, 0.1, 50.0, 15, "
            "'0', '{}' FROM n",
            (each, turns - 1),
        )
        database.execute(
            "WITH RECURSIVE n(k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < 15) "
            "INSERT INTO turn_orders (turn_id, n, cos_mm, sin_mm) SELECT id, k, 0.1 / k, -0.1 / k FROM turns, n "
            "WHERE recording_id LIKE 'filled-%'"
        )


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
