"""Turns of a real recording in a real store: kept as they end, noted, concluded, and refused once."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, nullcontext
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from recorded_practice import practice_recorder

from analysis.capture.events import ExclusionUndone, StarUndone, TurnExcluded, TurnStarred, WindowExcluded
from analysis.errors import StoreError
from analysis.sweep import turn_by_itself
from logger.acquisition import EventTaken
from logger.acquisition.adding import replay_into_store
from logger.acquisition.recorder import Identity, Recorded, Recorder
from logger.acquisition.turn_notes import TurnNote, TurnNotes
from logger.acquisition.turn_store import TurnStore, check_store
from logger.recording import RecordingReader, sha256_of
from logger.session import FinishedTurnSamples, Session


@dataclass(frozen=True)
class Sweep:
    """A recording of two turns, and its turns as they ended."""

    recorder: Recorder
    turns: list[FinishedTurnSamples]
    recorded: Recorded


@pytest.fixture(scope="module")
def sweep(tmp_path_factory: pytest.TempPathFactory) -> Sweep:
    recorder = practice_recorder(tmp_path_factory.mktemp("sweep") / "a.mcap", turns=2, job="17")
    turns = [message for message in recorder.messages() if isinstance(message, FinishedTurnSamples)]
    return Sweep(recorder, turns, recorder.close())


class Said(list[str]):
    """What a person was told."""

    def __call__(self, words: str) -> None:
        self.append(words)


def note(turn: int, kind: str, reason: str = "") -> TurnNote:
    return TurnNote(turn, kind, reason, wall_ns=1_700_000_000_000_000_000)


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
        store.add_note(note(bare.number, "star"))
        store.keep(say)
        assert not store.wanted
    assert rows(tmp_path / "a.db", "select * from turns") == []
    assert rows(tmp_path / "a.db", "select * from turn_notes") == []
    assert say == []


def test_notes_go_to_the_turn_they_are_of(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.add(sweep.turns[0])
        store.add_note(note(0, "star"))  # noted before its turn is kept
        store.add(sweep.turns[1])
        store.keep(say)
        store.add_note(note(1, "left-out", "somebody leaned on it"))
        store.add_note(note(0, "star-undone"))
        store.add_note(note(7, "star"))  # of a turn that nobody has
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


DECIDED = {
    "pooled": {
        "tir_fit_mm": 0.146, "u_tir_fit_mm": 0.001, "tir_fit_95_mm": [0.144, 0.148], "dof": 7.0, "turns": 2,
        "tir_raw_mm": 0.151, "tir_first_mm": 0.142, "high_point_deg": 50.3,
        "orders": [{"n": 1, "cos_mm": 0.03, "sin_mm": -0.06}],
    },
    "left_out": [{"from_deg": 10.0, "to_deg": 20.0, "reason": "keyway"}],
    "decision": {
        "quantity": "tir", "value_mm": 0.146, "u_mm": 0.002, "interval_mm": [0.142, 0.15], "limit_mm": 0.05,
        "limit_as_written": "0.050 mm", "guard_mm": 0.004, "state": "over", "why": "far over", "look": 2,
        "looks_planned": 3,
    },
}  # fmt: skip


def test_what_is_concluded_is_told_in_columns(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.begin(say)
        store.finish(sweep.recorded, True, "over", DECIDED, 12.5)
    ended = "2026-01-06T08:30:1"
    (numbers,) = rows(
        tmp_path / "a.db",
        "select quantity, value_mm, u_mm, low_mm, high_mm, dof, turns_used, first_cos_mm, first_sin_mm, "
        "blas_threads, who, why, substr(made, 1, 18) from analyses",
    )
    assert numbers == (
        "tir", 0.146, 0.001, 0.144, 0.148, 7.0, 2, 0.03, -0.06, 1, "P", "recorded", ended
    )  # fmt: skip
    (decision,) = rows(
        tmp_path / "a.db",
        "select quantity, value_mm, u_mm, low_mm, high_mm, dof, limit_mm, limit_as_written, limit_source, rule, "
        "guard_mm, state, why, look, of_looks from decisions",
    )
    assert decision == (
        "tir", 0.146, 0.002, 0.142, 0.15, 12.5, 0.05, "0.050 mm", "job sheet of the demo", "one-sided-95",
        0.004, "over", "far over", 2, 3,
    )  # fmt: skip
    assert rows(tmp_path / "a.db", "select count(*) from decisions where rule_text like 'within where%'") == [
        (1,)
    ]


def test_board_file_and_part_of_a_recording_are_told_in_columns(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.begin(say)
        store.finish(sweep.recorded, True, "over", {})
    (found,) = rows(
        tmp_path / "a.db",
        "select parts.number, parts.serial, jobs.number, gauges.id, gauges.source, operator, board_serial, "
        "firmware, channel, practice, bytes from recordings join parts using (part_id) "
        "join jobs using (job_id) join gauges using (gauge_id)",
    )
    size = sweep.recorded.path.stat().st_size
    assert found == (
        "bull-gear flange", "", "17", "practice indicator", "set-up", "P", "51ab0001", "1.0", "0", 1, size
    )  # fmt: skip


def test_turns_and_windows_left_out_are_told_with_who_and_why(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        for turn in sweep.turns:
            store.add(turn)
        store.add_note(note(0, "left-out", "chip"))
        store.add_note(note(1, "left-out", "leaned on"))
        store.add_note(note(1, "left-out-undone"))
        store.keep(say)
        store.finish(sweep.recorded, True, "over", DECIDED)
    query = "select turn, from_deg, to_deg, reason, who from left_out order by from_deg is null"
    assert rows(tmp_path / "a.db", query) == [(None, 10.0, 20.0, "keyway", "P"), (0, None, None, "chip", "P")]
    assert rows(tmp_path / "a.db", "select distinct who from turn_notes") == [("P",)]


def test_a_recording_that_is_finished_later_has_one_decision(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.begin(say)
        store.finish(sweep.recorded, False, "over", DECIDED)
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.begin(say)
        store.finish(sweep.recorded, True, "over", DECIDED)
    for table in ("decisions", "left_out"):
        assert rows(tmp_path / "a.db", f"select count(*) from {table}") == [(1,)]


@pytest.mark.parametrize(("typed", "celsius"), [("20.6 C", 20.6), ("20,6 C", 20.6), ("68 F", 20.0)])
def test_a_typed_temperature_is_a_condition_of_the_recording(
    tmp_path: Path, sweep: Sweep, typed: str, celsius: float
):
    recording = replace(
        OtherSetup.of(sweep), text={**sweep.recorder.session.setup.text, "temperature": typed}
    )
    store = TurnStore(str(tmp_path / "a.db"), recording, "0.0")
    store.begin(pytest.fail)
    store.close()
    (row,) = rows(tmp_path / "a.db", "select what, celsius, source from environment")
    assert row == ("part", pytest.approx(celsius), "typed")


@dataclass(frozen=True)
class OtherSetup:
    """The recording of the sweep, with another set-up."""

    identity: Identity
    path: Path
    text: dict[str, str]

    @staticmethod
    def of(sweep: Sweep) -> "OtherSetup":
        return OtherSetup(sweep.recorder.identity, sweep.recorder.path, {})

    @property
    def session(self) -> Session:
        session = Session()
        session.change_setup(self.text)
        return session


# --- a store that refuses ---------------------------------------------------------------------------------


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold the store's lock from another connection, as another program would."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("begin immediate")
        yield


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have a lock waited for only so long that waiting can be told from not waiting."""
    monkeypatch.setattr("logger.acquisition.turn_store.FIRST_S", 0.01)
    monkeypatch.setattr("logger.acquisition.turn_store.AGAIN_S", 0.01)


TABLES = (
    *("recordings", "analyses", "turns", "turn_orders", "turn_notes", "decisions", "left_out", "environment"),
    *("parts", "jobs", "operators", "gauges"),
)


def everything(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Return all that the store has of its one recording."""
    return {table: rows(path, f"select * from {table}") for table in TABLES}


def test_a_store_that_refuses_is_told_once_and_keeps_what_waits(tmp_path: Path, sweep: Sweep):
    path = tmp_path / "a.db"
    path.write_text("these are no pages of a database, whoever looks at them")
    with kept(path, sweep) as (store, say):
        store.begin(say)
        first = store.refusal
        for turn in sweep.turns:
            store.add(turn)
            store.keep(say)
            assert not store.wanted
        assert isinstance(store.refusal, StoreError)
        # Whoever owned that file has taken it away.
        path.unlink()
        store.finish(sweep.recorded, True, "over", {"runout": "face"})
        store.close()
        assert store.refusal is None
        assert store.not_stored() == ""
    assert say == [f"the store refuses ({first}); the recording goes on and tries it again at every turn"]
    assert rows(path, "select turn from turns") == [(0,), (1,)]
    assert rows(path, "select state from analyses") == [("over",)]


@pytest.mark.usefixtures("impatient")
def test_a_store_that_is_held_on_the_way_gets_every_turn_when_it_is_free(tmp_path: Path, sweep: Sweep):
    path = tmp_path / "a.db"
    with kept(path, sweep) as (store, say):
        store.begin(say)
        with held(path):
            store.add(sweep.turns[0])
            store.add_note(note(0, "star"))
            store.keep(say)
            store.keep(say)  # nothing has come: it is not tried again
        assert rows(path, "select turn from turns") == []
        store.add(sweep.turns[1])
        store.keep(say)
        assert rows(path, "select turn from turns") == [(0,), (1,)]
        assert rows(path, "select kind from turn_notes") == [("star",)]
    refused, over = say
    assert refused.startswith("the store refuses (")
    assert "another program has held it for too long" in refused
    assert over == "the store has taken what waited for it"


@pytest.mark.usefixtures("impatient")
def test_a_store_that_was_held_has_what_one_that_never_was_has(tmp_path: Path, sweep: Sweep):
    for name in ("free", "held"):
        path = tmp_path / f"{name}.db"
        with kept(path, sweep) as (store, say):
            store.begin(say)
            with held(path) if name == "held" else nullcontext():
                for turn in sweep.turns:
                    store.add(turn)
                    store.keep(say)
                store.finish(sweep.recorded, True, "over", {"runout": "face"})
            store.close()
    assert everything(tmp_path / "held.db") == everything(tmp_path / "free.db")


@pytest.mark.usefixtures("impatient")
def test_what_a_store_did_not_take_to_the_end_is_named_with_the_command_that_adds_it(
    tmp_path: Path, sweep: Sweep
):
    path = tmp_path / "a.db"
    with kept(path, sweep) as (store, say):
        store.begin(say)
        with held(path):
            for turn in sweep.turns:
                store.add(turn)
            store.finish(sweep.recorded, True, None, {})
            store.close()
        words = store.not_stored("--store a.db")
        assert words.startswith("not stored: 2 turns and the result (")
        assert words.endswith(f"; add with: fullturn store add {sweep.recorder.path} --store a.db")
        assert len(words.splitlines()) == 1


@pytest.mark.usefixtures("impatient")
def test_a_conclusion_that_cannot_be_kept_is_named(tmp_path: Path, sweep: Sweep):
    path = tmp_path / "a.db"
    with kept(path, sweep) as (store, say):
        store.begin(say)
        store.finish(sweep.recorded, True, None, {})
        with held(path):
            store.close()
        assert store.not_stored().startswith("not stored: the result (")


@pytest.mark.usefixtures("impatient")
def test_only_a_store_that_will_not_be_free_later_is_refused_beforehand(tmp_path: Path):
    path = tmp_path / "a.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("begin exclusive")
        check_store(str(path))
    check_store(str(path))
    (tmp_path / "b.db").write_text("these are no pages of a database, whoever looks at them")
    with pytest.raises(StoreError, match="no store"):
        check_store(str(tmp_path / "b.db"))


@pytest.mark.usefixtures("impatient")
def test_what_comes_when_too_much_waits_is_left_to_the_recording_and_added_from_it(
    tmp_path: Path, sweep: Sweep, monkeypatch: pytest.MonkeyPatch
):
    path, star = tmp_path / "a.db", note(1, "star")
    with monkeypatch.context() as patch, kept(path, sweep) as (store, say):
        patch.setattr("logger.acquisition.turn_store.MOST_WAITING", 1)
        store.begin(say)
        with held(path):
            for turn in sweep.turns:
                store.add(turn)
                store.keep(say)
            for _ in range(3):
                store.add_note(star)
            store.keep(say)
            assert (len(store._rows), len(store._notes)) == (1, 1)
        store.finish(sweep.recorded, True, "over", {"runout": "face"})
        store.close()
        assert store.not_stored().startswith("not stored: 1 turn and the result (it kept more waiting")
    assert rows(path, "select turn from turns") == [(0,)]
    assert rows(path, "select sha256 from recordings") == [(None,)]  # else it could not be added to
    again, recorded = replay_into_store(RecordingReader(sweep.recorded.path), str(path), "0.0")
    again.finish(recorded, True, "over", {"runout": "face"})
    again.close()
    assert again.not_stored() == ""
    with kept(tmp_path / "free.db", sweep) as (store, say):
        store.begin(say)
        for turn in sweep.turns:
            store.add(turn)
        store.finish(sweep.recorded, True, "over", {"runout": "face"})
    assert everything(path) == everything(tmp_path / "free.db")


@pytest.mark.parametrize(
    ("most", "value"), [("MOST_WAITING", 5), ("MOST_READINGS", 1), ("MOST_READINGS", 5_000)]
)
def test_a_store_that_hangs_does_not_let_turns_pile_up(
    tmp_path: Path, sweep: Sweep, monkeypatch: pytest.MonkeyPatch, most: str, value: int
):
    """Whoever keeps is away for good while turns go on ending, as where a server answers nothing."""
    monkeypatch.setattr(f"logger.acquisition.turn_store.{most}", value)
    one = sweep.turns[0]
    readings = len(one.capture.samples)
    room = value if most == "MOST_WAITING" else max(1, value // readings)
    with kept(tmp_path / "a.db", sweep) as (store, say):
        for number in range(room + 7):
            store.add(replace(one, number=number))
        assert len(store._ended) == room
        store.keep(say)
        assert store.not_stored().startswith("not stored: 7 turns (it kept more waiting than")
        assert say == []
    assert rows(tmp_path / "a.db", "select count(*) from turns") == [(room,)]


def test_a_long_recording_is_added_in_parts(tmp_path: Path, sweep: Sweep, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("logger.acquisition.turn_store.MOST_WAITING", 2)
    written = []
    monkeypatch.setattr(
        TurnStore,
        "_write",
        lambda store, write=TurnStore._write: written.append(len(store._rows)) or write(store),
    )
    again, _ = replay_into_store(RecordingReader(sweep.recorded.path), str(tmp_path / "b.db"), "0.0")
    assert written == [0, 1, 1]
    assert rows(tmp_path / "b.db", "select turn from turns") == [(0,), (1,)]
    again.close()
    assert again.not_stored() == ""


# --- a recording that is there already --------------------------------------------------------------------


def test_a_recording_that_is_played_again_is_stored_as_when_it_was_made(tmp_path: Path, sweep: Sweep):
    with kept(tmp_path / "a.db", sweep) as (store, say):
        store.begin(say)
        for turn in sweep.turns:
            store.add(turn)
        store.finish(sweep.recorded, True, "over", {"runout": "face"})
    again, recorded = replay_into_store(RecordingReader(sweep.recorded.path), str(tmp_path / "b.db"), "0.0")
    again.finish(recorded, True, "over", {"runout": "face"})
    again.close()
    assert everything(tmp_path / "b.db") == everything(tmp_path / "a.db")


NOTED = (
    TurnStarred(0, 0.0, 1.0),
    TurnStarred(1, 0.0, 1.0),
    TurnExcluded(id=1, turn=1, from_s=0.0, to_s=1.0, reason="somebody leaned on it"),
    WindowExcluded(id=2, from_deg=10.0, to_deg=20.0, reason="keyway"),
    StarUndone(1),
    ExclusionUndone(2),
    TurnExcluded(id=3, turn=0, from_s=0.0, to_s=1.0, reason="chip"),
    ExclusionUndone(3),
    TurnStarred(7, 0.0, 1.0),
)
"""What a person did on the way; a window is no turn, and of the eighth turn there is none."""


def test_what_was_noted_of_turns_is_stored_again_as_when_it_was_noted(tmp_path: Path) -> None:
    recorder = practice_recorder(tmp_path / "a.mcap", turns=2)
    for event in NOTED:
        recorder.record_event(event)
    first, notes = TurnStore(str(tmp_path / "a.db"), recorder, "0"), TurnNotes()
    first.begin(Said())
    for message in recorder.messages():
        if isinstance(message, FinishedTurnSamples):
            first.add(message)
        if isinstance(message, EventTaken) and (one := notes.of(message)) is not None:
            first.add_note(one)
    recorded = recorder.close()
    first.finish(recorded, True, "over", {})
    first.close()
    again, _ = replay_into_store(RecordingReader(recorded.path), str(tmp_path / "b.db"), "0")
    again.finish(recorded, True, "over", {})
    again.close()
    assert everything(tmp_path / "b.db") == everything(tmp_path / "a.db")
    query = (
        "select turn, kind, reason from turn_notes join turns on turns.id = turn_id order by turn_notes.id"
    )
    assert rows(tmp_path / "b.db", query) == [
        (0, "star", ""),
        (1, "star", ""),
        (1, "left-out", "somebody leaned on it"),
        (1, "star-undone", ""),
        (0, "left-out", "chip"),
        (0, "left-out-undone", ""),
    ]
