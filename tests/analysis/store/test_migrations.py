"""Stores of earlier versions, frozen files, brought to the newest: nothing is lost, and what can be told is."""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from places import ROOT

from analysis.store import Store, open_store

VERSION_2 = ROOT / "tests" / "reference" / "store_version_2.db"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return Path(shutil.copy(VERSION_2, tmp_path / "kept.db"))


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with open_store(path) as opened:
        yield opened


def change(path: Path, line: str) -> None:
    with closing(sqlite3.connect(path)) as database, database:
        database.execute(line)


def counted(path: Path) -> dict[str, int]:
    with closing(sqlite3.connect(path)) as database:
        names = ("recordings", "analyses", "turns", "turn_orders", "turn_notes")
        return {name: database.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in names}


def test_no_row_of_version_2_is_lost(path: Path) -> None:
    before = counted(path)
    open_store(path).close()
    assert counted(path) == before
    assert before["turns"] == 2


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
