"""A store that is held, absent or refused: no turn is lost, the result is printed, one command adds the rest."""

import shlex
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from running import Ran, bench, finish, fullturn, inside, move_in, one_line, practice_file, said, start

from analysis.store import open_store
from logger.acquisition import turn_store

FOUND = "practice:wind-pump/as-found"
OVER = 1


def made(home: Path) -> Path:
    """Return a store that is there already and empty."""
    path = home / "store.db"
    open_store(path).close()
    return path


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold the store as another program would."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield


def turns_of(home: Path) -> list[dict[str, Any]]:
    """Return the turns in the store, without what tells two stores apart."""
    return [
        {key: value for key, value in turn.items() if key not in ("id", "recording_id", "sha256", "mark")}
        for turn in fullturn(home, "history", "--json").result["turns"]
    ]


def command_in(ran: Ran) -> list[str]:
    """Return the arguments of the command that standard error names."""
    (line,) = [line for line in ran.err.splitlines() if line.startswith("not stored: ")]
    return shlex.split(line.partition("add with: fullturn ")[2])


def test_a_store_that_is_held_to_the_end_costs_neither_result_nor_turn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    (tmp_path / "free").mkdir()
    # Before, at the beginning and at the end it is waited for: no need to wait as long for one that stays held.
    monkeypatch.setattr(turn_store, "FIRST_S", turn_store.AGAIN_S)
    with monkeypatch.context() as moved, held(made(tmp_path)):
        move_in(tmp_path, moved)
        ran = inside(capsys, "record", FOUND, "--turns", "3", "--out", "a.mcap")
    free = fullturn(tmp_path / "free", "record", FOUND, "--turns", "3", "--out", "a.mcap")
    assert ran.status == free.status == OVER
    assert ran.first_line == free.first_line
    assert turns_of(tmp_path) == []
    assert fullturn(tmp_path, *command_in(ran)).status == 0
    assert len(turns_of(tmp_path)) == 3
    assert turns_of(tmp_path) == turns_of(tmp_path / "free")


def test_a_store_that_is_free_again_on_the_way_gets_every_turn(tmp_path: Path):
    path = made(tmp_path)
    with bench(tmp_path, "wind-pump/as-found", "--link", tmp_path / "port"):
        recording = start(
            tmp_path, "record", tmp_path / "port", "--limit", "0.050 mm", "--turns", "2", "--json"
        )
        with held(path):
            said(recording, "the store refuses (")
        ran = finish(recording)
    assert ran.status == OVER
    assert "not stored" not in ran.err
    kept = turns_of(tmp_path)
    assert len(kept) == len(ran.result["turns"])
    assert {turn["state"] for turn in kept} == {"over"}


@pytest.mark.parametrize("junk", ["no folder of that name", "no database"])
def test_a_store_that_cannot_be_used_is_refused_before_anything_is_recorded(tmp_path: Path, junk: str):
    where = tmp_path / "nowhere" / "a.db"
    if junk == "no database":
        where = tmp_path / "a.db"
        where.write_text("these are no pages of a database, whoever looks at them")
    ran = fullturn(tmp_path, "record", FOUND, "--turns", "1", "--out", "a.mcap", "--store", where)
    assert ran.status == 2
    assert one_line(ran).startswith("store ")
    assert not (tmp_path / "a.mcap").exists()


def test_the_folder_of_the_store_that_nobody_named_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    move_in(tmp_path, monkeypatch)
    monkeypatch.delenv("FULLTURN_STORE")
    assert not (tmp_path / "data").exists()
    assert inside(capsys, "record", FOUND, "--turns", "2", "--out", "a.mcap").status == OVER
    assert len(inside(capsys, "history", "--json").result["turns"]) == 2
    assert (tmp_path / "data" / "fullturn.db").exists()


# --- store add --------------------------------------------------------------------------------------------


def test_a_recording_is_added_once(home: Path, capsys: pytest.CaptureFixture[str]):
    practice_file(home / "a.mcap", "wind-pump/as-left")
    shutil.copy(home / "a.mcap", home / "copy.mcap")
    ran = inside(capsys, "store", "add", "a.mcap", "copy.mcap", "--json")
    assert ran.status == 0
    files = ran.result["files"]
    assert [(one["file"], one["turns"], one["state"], one["added"]) for one in files] == [
        ("a.mcap", 5, "within", True), ("copy.mcap", 5, "within", False)
    ]  # fmt: skip
    again = inside(capsys, "store", "add", "a.mcap", "--json").result["files"]
    assert [one["added"] for one in again] == [False]
    assert len(inside(capsys, "history", "--json").result["turns"]) == 5


def test_what_was_recorded_is_stored_as_if_it_had_been_added(home: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "record", FOUND, "--turns", "3", "--out", "a.mcap")
    assert inside(capsys, "store", "add", "a.mcap", "--store", "other.db").status == 0
    recorded = inside(capsys, "history", "--json").result
    assert inside(capsys, "history", "--json", "--store", "other.db").result == recorded


def test_another_file_of_the_same_recording_is_refused_and_nothing_is_added(
    home: Path, capsys: pytest.CaptureFixture[str]
):
    practice_file(home / "a.mcap")
    practice_file(home / "b.mcap", "wind-pump/as-left")
    assert inside(capsys, "store", "add", "a.mcap").status == 0
    whole = (home / "a.mcap").read_bytes()
    (home / "a.mcap").write_bytes(whole[: len(whole) * 2 // 3])
    ran = inside(capsys, "store", "add", "b.mcap", "a.mcap")
    assert ran.status == 2
    assert "one of them was changed since" in one_line(ran)
    parts = {turn["state"] for turn in inside(capsys, "history", "--json").result["turns"]}
    assert parts == {"over"}


def test_a_recording_that_broke_off_is_added_as_far_as_it_goes(
    home: Path, capsys: pytest.CaptureFixture[str]
):
    whole = practice_file(home / "a.mcap").read_bytes()
    (home / "a.mcap").write_bytes(whole[: len(whole) * 2 // 3])
    (one,) = inside(capsys, "store", "add", "a.mcap", "--json").result["files"]
    assert one["added"]
    turns = inside(capsys, "history", "--json").result["turns"]
    assert 1 <= len(turns) == one["turns"] < 5
    assert {turn["ended"] for turn in turns} == {"interrupted"}


@pytest.mark.parametrize("name", ["nothere.mcap", "points.csv"])
def test_what_is_no_recording_is_refused(home: Path, capsys: pytest.CaptureFixture[str], name: str):
    (home / "points.csv").write_text("angle_deg,reading_mm\n0,0.0\n90,0.1\n")
    assert inside(capsys, "store", "add", name).status == 2


def test_store_without_add_is_refused_in_words(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "store", "remove", "a.mcap")
    assert ran.status == 2
    assert "'add', 'status', 'check', 'find', 'backup'" in one_line(ran)
