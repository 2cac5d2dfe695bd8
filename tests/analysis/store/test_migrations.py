"""Stores of earlier versions, frozen files, brought to the newest: nothing is lost, and what can be told is."""

import shutil
import signal
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import old_stores
import postgres_server
import psycopg
import pytest
from old_stores import FROZEN, TABLES
from store_rows import start, wait_here

from analysis.store import SCHEMA_VERSION, Store, open_store

FLANGE, JOB = "bull-gear flange", "wind-pump gearbox, demo"


@dataclass(frozen=True)
class OldStore:
    """A store of an earlier version, in a file or on a server."""

    number: int
    where: str
    ask: Callable[[str], list[tuple[Any, ...]]]
    """Reads it with the database's own driver."""
    rows: Callable[[], old_stores.Rows]
    """Every row, in the columns of its version."""


def ask_file(path: Path, query: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(path)) as database:
        return database.execute(query).fetchall()


def ask_server(url: str, query: str) -> list[tuple[Any, ...]]:
    with psycopg.connect(url) as database:
        return database.execute(query).fetchall()


ON_SERVER = pytest.param("server", marks=[postgres_server.NEEDED, pytest.mark.slow])


@pytest.fixture(params=FROZEN)
def number(request: pytest.FixtureRequest) -> int:
    return int(request.param)


@pytest.fixture(params=["file", ON_SERVER])
def old(request: pytest.FixtureRequest, number: int, tmp_path: Path) -> OldStore:
    columns = old_stores.columns_of(FROZEN[number])
    if request.param == "file":
        path = Path(shutil.copy(FROZEN[number], tmp_path / "kept.db"))
        return OldStore(
            number,
            str(path),
            lambda query: ask_file(path, query),
            lambda: old_stores.rows_of_file(path, columns),
        )
    running: postgres_server.Server = request.getfixturevalue("server")
    url = running.make_database(f"{request.node.originalname[5:45]}_{number}")
    old_stores.put_on_server(FROZEN[number], number, url, tmp_path / "ladder")
    return OldStore(
        number, url, lambda query: ask_server(url, query), lambda: old_stores.rows_of_server(url, columns)
    )


def in_columns(old: OldStore) -> list[Any]:
    """Return what is told of a store that was brought up: by identity, so that the order is one."""
    return [
        old.ask(query)
        for query in (
            "SELECT number, serial FROM parts ORDER BY number",
            "SELECT number FROM jobs ORDER BY number",
            "SELECT initials FROM operators ORDER BY initials",
            "SELECT id, due, error_mm, error_means, source FROM gauges ORDER BY gauge_id",
            "SELECT file, numbers.number, jobs.number, gauges.id, operator, ended FROM recordings "
            "LEFT JOIN parts AS numbers USING (part_id) LEFT JOIN jobs USING (job_id) "
            "LEFT JOIN gauges USING (gauge_id) ORDER BY file",
            "SELECT from_deg, to_deg, reason FROM left_out",
        )
    ]


PRACTICE = ("practice indicator", None, None, None, "set-up")
TOLD: dict[int, list[Any]] = {
    1: [
        [(FLANGE, "")],
        [(JOB,)],
        [("AB",), ("P",)],
        [PRACTICE, ("practice indicator", "2026-03-31", None, None, "set-up")],
        [
            ("found.mcap", FLANGE, JOB, "practice indicator", "P", "closed"),
            ("killed.mcap", FLANGE, None, None, None, "interrupted"),
            ("left.mcap", FLANGE, JOB, "practice indicator", "AB", "closed"),
        ],
        [],
    ],
    2: [
        [(FLANGE, "")],
        [(JOB,)],
        [("P",)],
        [PRACTICE],
        [("wind-pump.mcap", FLANGE, JOB, "practice indicator", "P", "closed")],
        [],
    ],
    3: [
        [(FLANGE, "")],
        [("4711",), (JOB,)],
        [("AB",), ("P",)],
        [("DI-07", "2026-03-31", 0.003, "limits", "set-up"), PRACTICE],
        [
            ("found.mcap", FLANGE, JOB, "DI-07", "P", "closed"),
            ("left.mcap", FLANGE, "4711", "DI-07", "AB", "closed"),
            ("noted.mcap", FLANGE, JOB, "practice indicator", "P", "closed"),
        ],
        [(200.0, 210.0, "a chip")],
    ],
}
"""By hand from what the scripts beside the frozen stores recorded."""
DECIDED = {
    1: [("found.mcap", "tir", 0.05, "0.050 mm", None, "over"), ("left.mcap", "tir", 0.05, "0.050 mm", None, "within")],
    2: [("wind-pump.mcap", "tir", 0.05, "0.050 mm", None, "over")],
    3: [
        ("found.mcap", "tir", 0.05, "0.050 mm", "one-sided-95", "over"),
        ("left.mcap", "tir", 0.05, "0.050 mm", "one-sided-95", "within"),
        ("noted.mcap", "tir", 0.05, "0.050 mm", "one-sided-95", "within"),
    ],
}  # fmt: skip


def test_every_row_stays_as_it_was(old: OldStore) -> None:
    before = old.rows()
    assert {table: len(rows) for table, rows in before.items() if table in ("recordings", "turns")} == {
        "recordings": len(TOLD[old.number][4]),
        "turns": {1: 4, 2: 2, 3: 7}[old.number],
    }
    open_store(old.where).close()
    after = old.rows()
    assert after == before
    assert old.ask("SELECT version_num FROM store_version") == [(f"{SCHEMA_VERSION:04d}",)]


def test_what_set_ups_say_is_told_in_columns(old: OldStore) -> None:
    open_store(old.where).close()
    assert in_columns(old) == TOLD[old.number]


def test_what_results_say_is_told_in_columns(old: OldStore) -> None:
    open_store(old.where).close()
    decided = old.ask(
        "SELECT file, quantity, limit_mm, limit_as_written, rule, decisions.state FROM decisions "
        "JOIN recordings USING (recording_id) ORDER BY file"
    )
    assert decided == DECIDED[old.number]
    numbers = old.ask(
        "SELECT value_mm, u_mm, low_mm, high_mm, tir_first_mm, turns_used, result_sha256 FROM analyses "
        "WHERE result IS NOT NULL"
    )
    assert len(numbers) == len(decided)
    for value, u, low, high, first, turns, sha256 in numbers:
        assert low < value < high
        assert 0 < u < value
        assert 2 <= turns <= 3
        assert len(sha256) == 64
        # Order 1 is most of this flange's runout.
        assert 0.9 * value < first < value


def test_turns_are_listed_by_every_question(old: OldStore) -> None:
    with open_store(old.where) as store:
        listed = store.history()
        assert [row.id for row in store.history(FLANGE)] == [row.id for row in listed]
        assert len(listed) == {1: 4, 2: 2, 3: 7}[old.number]
        assert sorted(row.recorded for row in listed) == [row.recorded for row in listed]
        assert len(store.stored_turns()) == len(listed)
        assert store.register.parts()[0].recordings == len(TOLD[old.number][4])


# --- a program that is killed on the way -----------------------------------------------------------------

UPGRADER = """
import sys
from sqlalchemy import Engine, event
from analysis.store import open_store
import alembic.command, analysis.store.upgrade
stop_at, seen = int(sys.argv[2]), 0
def before(connection, cursor, statement, parameters, context, executemany):
    global seen
    seen += 1
    if seen == stop_at:
        print("here", flush=True)
        sys.stdin.readline()
event.listen(Engine, "before_cursor_execute", before)
open_store(sys.argv[1]).close()
print(seen, flush=True)
"""


@pytest.mark.slow
def test_a_program_killed_in_the_middle_of_an_upgrade_leaves_the_old_version_whole(
    old: OldStore, tmp_path: Path
) -> None:
    before = old.rows()
    spare = tmp_path / "spare.db"
    shutil.copy(FROZEN[old.number], spare)
    with start(UPGRADER, spare, 0) as whole:
        statements = int(whole.communicate()[0])
    # In the middle of making tables, and where all is done but the commit.
    for stop_at in (statements // 2, statements - 2):
        upgrader = start(UPGRADER, old.where, stop_at)
        wait_here(upgrader)
        upgrader.send_signal(signal.SIGKILL)
        with upgrader:
            pass
        assert upgrader.returncode == -signal.SIGKILL
        assert old.ask("SELECT version_num FROM store_version") == [(f"{old.number:04d}",)]
        assert old.rows() == before
    open_store(old.where).close()
    assert in_columns(old) == TOLD[old.number]


# --- what is particular to one version -------------------------------------------------------------------


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return Path(shutil.copy(FROZEN[2], tmp_path / "kept.db"))


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with open_store(path) as opened:
        yield opened


def change(path: Path, line: str) -> None:
    with closing(sqlite3.connect(path)) as database, database:
        database.execute(line)


def test_a_finished_recording_of_version_2_is_closed(store: Store) -> None:
    assert [row.ended for row in store.history()] == ["closed"] * 2


@pytest.mark.parametrize("how", ["sha256 = NULL, closed = NULL", "closed = 0"])
def test_an_unfinished_recording_of_version_2_was_interrupted(path: Path, how: str) -> None:
    change(path, f"UPDATE recordings SET {how}")
    with open_store(path) as opened:
        assert {row.ended for row in opened.history()} == {"interrupted"}


def test_what_version_2_did_not_know_is_null(store: Store) -> None:
    assert {(row.numerics, row.mark) for row in store.history()} == {(None, None)}
    assert [turn.mark for turn in store.stored_turns()] == [None] * 2


def test_a_set_up_that_cannot_be_is_told_as_far_as_it_can(path: Path) -> None:
    broken = '{"part": "hub", "gauge_id": "X", "gauge_error": "much", "gauge_due": "soon", "operator": ""}'
    change(path, f"UPDATE recordings SET setup = '{broken}'")
    open_store(path).close()
    assert ask_file(path, "SELECT id, due, error_mm, error_means FROM gauges") == [("X", None, None, None)]
    assert ask_file(path, "SELECT operator FROM recordings") == [(None,)]
    assert ask_file(path, f"SELECT count(*) FROM {TABLES[0]}") == [(1,)]


def test_a_result_that_cannot_be_read_keeps_no_other_from_being_told(tmp_path: Path) -> None:
    path = Path(shutil.copy(FROZEN[3], tmp_path / "kept.db"))
    change(path, "UPDATE analyses SET result = '{\"pooled\": ' WHERE state = 'over'")
    open_store(path).close()
    assert ask_file(path, "SELECT state, count(*) FROM decisions GROUP BY state") == [("within", 2)]
