"""A store that others hold, read and write at the same time: every failure is told in one line."""

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from store_rows import recording, turn

from analysis.errors import StoreError
from analysis.store import Store, open_store


def test_a_writer_that_holds_the_store_for_too_long_is_told(store: Store, path: Path) -> None:
    store.begin_recording(recording())
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    try:
        with pytest.raises(StoreError, match="another program has held it for too long"):
            store.add_turn(turn())
    finally:
        holder.close()
    assert store.history() == []


def test_a_store_goes_on_after_it_was_held_for_too_long(store: Store, path: Path) -> None:
    store.begin_recording(recording())
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError):
        store.add_turn(turn())
    holder.execute("ROLLBACK")
    holder.close()
    store.add_turn(turn())
    assert len(store.history()) == 1


def test_the_history_is_read_while_another_writes(store: Store, path: Path) -> None:
    store.begin_recording(recording())
    store.add_turn(turn())
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    holder.execute("UPDATE turns SET part = 'not yet'")
    assert [row.part for row in store.history()] == ["flange"]
    holder.close()


def test_several_threads_share_one_store(tmp_path: Path) -> None:
    with open_store(tmp_path / "kept.db", busy_timeout_s=60) as store:
        store.begin_recording(recording())
        with ThreadPoolExecutor(4) as pool:
            numbers = list(pool.map(lambda k: store.add_turn(turn(k)), range(24)))
        assert sorted(numbers) == [row.id for row in store.history()]


def test_a_closed_store_says_so(store: Store) -> None:
    store.close()
    with pytest.raises(StoreError, match="found it closed while reading the history"):
        store.history()


def test_a_failure_is_one_line(store: Store, path: Path) -> None:
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    with pytest.raises(StoreError) as caught:
        store.begin_recording(recording())
    holder.close()
    assert str(caught.value) == (
        f"store {str(path)!r}: found 'database is locked' while beginning a recording, expected a store that "
        "answers: another program has held it for too long; close that program, or try again"
    )
