"""Turns of a real recording in a real store: kept as they end, noted, concluded, and refused once."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from analysis.errors import StoreError
from analysis.store import open_store
from analysis.sweep import turn_by_itself
from logger.acquisition.recorder import Recorded, Recorder, seeded_identity
from logger.acquisition.turn_store import TurnStore
from logger.practice.serving.simulated_source import PracticeSource
from logger.recording import sha256_of
from logger.session import FinishedTurnSamples


@dataclass(frozen=True)
class Sweep:
    """A recording of two turns, and its turns as they ended."""

    recorder: Recorder
    turns: list[FinishedTurnSamples]
    recorded: Recorded


@pytest.fixture(scope="module")
def sweep(tmp_path_factory: pytest.TempPathFactory) -> Sweep:
    source = PracticeSource("wind-pump/as-found", turns=2)
    recorder = Recorder(
        source,
        tmp_path_factory.mktemp("sweep") / "a.mcap",
        setup={**source.setup, "job": "17"},
        identity=seeded_identity(source.name, 1, None, source.now()),
        version="0",
        threaded=False,
    )
    turns = [message for message in recorder.messages() if isinstance(message, FinishedTurnSamples)]
    return Sweep(recorder, turns, recorder.close())


class Said(list[str]):
    """What a person was told."""

    def __call__(self, words: str) -> None:
        self.append(words)


@contextmanager
def kept(path: Path, sweep: Sweep) -> Iterator[tuple[TurnStore, Said]]:
    store = TurnStore(str(path), sweep.recorder, "0.0")
    try:
        yield store, Said()
    finally:
        store.close()


def rows(path: Path, query: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query).fetchall()


def test_nothing_is_opened_before_there_is_something_to_keep(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        assert not store.wanted
        store.keep(say)
    assert not (tmp_path / "a.db").exists()
    assert say == []


def test_a_recording_is_begun_as_it_is(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.begin(say)
        store.begin(say)
    query = "select recording_id, file, started, part, job, stage, surface, code_version from recordings"
    assert rows(tmp_path / "a.db", query) == [
        (
            sweep.recorder.identity.recording_id,
            str(sweep.recorder.path.resolve()),
            sweep.recorder.identity.started,
            "bull-gear flange",
            "17",
            "as found",
            "face",
            "0.0",
        )
    ]


def test_turns_wait_until_they_are_kept_and_are_kept_once(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        for turn in sweep.turns:
            store.add(turn)
        assert store.wanted
        assert not (tmp_path / "a.db").exists()
        store.keep(say)
        assert not store.wanted
        store.keep(say)
    assert [number for (number,) in rows(tmp_path / "a.db", "select turn from turns order by turn")] == [0, 1]
    assert say == []


def test_the_numbers_and_orders_of_a_turn_are_kept(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.add(sweep.turns[0])
        store.keep(say)
    one = sweep.turns[0]
    result = turn_by_itself(one.number, one.turn, one.capture)
    columns = (
        "turn, direction, samples, gauge_values, tir_fit_mm, tir_first_mm, high_point_deg, highest_order"
    )
    assert rows(tmp_path / "a.db", f"select {columns} from turns") == [
        (
            0,
            result.direction,
            result.samples,
            result.values,
            result.tir_fit_mm,
            result.tir_first_mm,
            result.high_point_deg,
            len(result.vectors_mm),
        )
    ]
    orders = rows(tmp_path / "a.db", "select n, cos_mm, sin_mm from turn_orders order by n")
    assert orders == [(n, z.real, z.imag) for n, z in enumerate(result.vectors_mm, 1)]


def test_a_turn_that_carries_no_fit_is_not_kept_and_nothing_is_said(tmp_path: Path, sweep: Sweep):
    one = sweep.turns[0]
    bare = replace(one, turn=replace(one.turn, where=one.turn.where[:3]))
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.add(bare)
        store.add_note(bare.number, "star")
        store.keep(say)
        assert not store.wanted
    assert rows(tmp_path / "a.db", "select * from turns") == []
    assert rows(tmp_path / "a.db", "select * from turn_notes") == []
    assert say == []


def test_notes_go_to_the_turn_they_are_of(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.add(sweep.turns[0])
        store.add_note(0, "star")  # noted before its turn is kept
        store.add(sweep.turns[1])
        store.keep(say)
        store.add_note(1, "left-out", "somebody leaned on it")
        store.add_note(0, "star-undone")
        store.add_note(7, "star")  # of a turn that nobody has
        store.keep(say)
        assert not store.wanted
    query = (
        "select turn, kind, reason from turn_notes join turns on turns.id = turn_id order by turn_notes.id"
    )
    assert rows(tmp_path / "a.db", query) == [
        (0, "star", ""),
        (1, "left-out", "somebody leaned on it"),
        (0, "star-undone", ""),
    ]


def test_what_was_concluded_is_kept_with_the_checksum_of_the_closed_file(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.begin(say)
        store.finish(sweep.recorded, True, "over", {"runout": "face"})
    (row,) = rows(tmp_path / "a.db", "select sha256, closed, state, result from recordings join analyses")
    assert row == (sha256_of(sweep.recorded.path), 1, "over", '{"runout": "face"}')


def test_a_recording_that_was_never_begun_is_not_concluded(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, _):
        store.finish(sweep.recorded, True, None, {})
    assert not (tmp_path / "a.db").exists()


# --- a store that refuses ---------------------------------------------------------------------------------


def test_a_store_that_refuses_is_told_once_and_the_recording_goes_on(tmp_path: Path, sweep: Sweep):
    (tmp_path / "a.db").write_text("these are no pages of a database, whoever looks at them")
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.begin(say)
        for turn in sweep.turns:
            store.add(turn)
            store.add_note(turn.number, "star")
            store.keep(say)
        assert not store.wanted
        assert isinstance(store.refusal, StoreError)
        store.finish(sweep.recorded, True, None, {})
    assert say == [f"the store refuses ({store.refusal}); the recording goes on"]


def test_a_store_that_is_held_on_the_way_is_told_once_and_keeps_what_it_has(
    tmp_path: Path, sweep: Sweep, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("analysis.store.open_store", partial(open_store, busy_timeout_s=0.01))
    path = tmp_path / "a.db"
    with kept(path, sweep) as (store, say):
        store.add(sweep.turns[0])
        store.keep(say)
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("begin immediate")
            store.add(sweep.turns[1])
            store.keep(say)
        store.add(sweep.turns[1])
        store.keep(say)
    (words,) = say
    assert words.startswith("the store refuses (")
    assert "another program has held it for too long" in words
    assert rows(path, "select turn from turns") == [(0,)]


def test_a_conclusion_that_cannot_be_kept_is_raised(
    tmp_path: Path, sweep: Sweep, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("analysis.store.open_store", partial(open_store, busy_timeout_s=0.01))
    path = tmp_path / "a.db"
    with kept(path, sweep) as (store, say):
        store.begin(say)
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("begin immediate")
            with pytest.raises(StoreError, match="held it for too long"):
                store.finish(sweep.recorded, True, None, {})
