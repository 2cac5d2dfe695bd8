"""A store of which some bytes were struck: what can be read is read, and what cannot is named."""

import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from places import FROZEN_STORE
from running import inside, move_in, one_line
from store_rows import recording, turn

from analysis.errors import StoreDamaged
from analysis.store import open_store
from logger.acquisition import check_store

TURNS = 6
NO_TEXT = "CAST(X'FFFE' AS TEXT)"


@pytest.fixture
def struck(tmp_path: Path) -> Path:
    """A store whose third turn has bytes for its stage that are no text."""
    path = tmp_path / "store.db"
    with open_store(path) as store:
        for number in (1, 2):
            store.begin_recording(recording(f"r-{number}"))
        for number in range(TURNS):
            store.add_turn(turn(number, f"r-{1 + number % 2}", recorded=f"2026-01-02T03:04:{number:02d}Z"))
    change(path, f"UPDATE turns SET stage = {NO_TEXT} WHERE id = 3")
    return path


def change(path: Path, line: str) -> None:
    with closing(sqlite3.connect(path)) as database, database:
        database.execute(line)


def test_one_struck_row_costs_one_turn(struck: Path) -> None:
    with open_store(struck) as store:
        with pytest.raises(StoreDamaged):
            store.history()
        rows, damaged = store.readable_history()
        assert ([row.id for row in rows], damaged) == ([1, 2, 4, 5, 6], [3])
        rows, damaged = store.readable_history("flange", 4)
        assert ([row.id for row in rows], damaged) == ([4, 5, 6], [3])


@pytest.mark.parametrize("text", ["'{\"part\": '", NO_TEXT], ids=["half a set-up", "no text"])
def test_a_struck_recording_costs_its_own_turns(struck: Path, text: str) -> None:
    change(struck, "UPDATE turns SET stage = 'as found' WHERE id = 3")
    change(struck, f"UPDATE recordings SET setup = {text} WHERE recording_id = 'r-1'")
    with open_store(struck) as store:
        rows, damaged = store.readable_history()
    assert ([row.id for row in rows], damaged) == ([2, 4, 6], [1, 3, 5])


def test_a_whole_store_has_nothing_damaged(struck: Path) -> None:
    change(struck, "UPDATE turns SET stage = 'as found' WHERE id = 3")
    with open_store(struck) as store:
        assert store.readable_history() == (store.history(), [])
        assert store.upkeep.damage() == []


def test_history_lists_the_others_and_names_what_it_could_not_read(
    struck: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    move_in(struck.parent, monkeypatch)
    ran = inside(capsys, "history", "--json")
    assert (ran.status, ran.result["damaged"], len(ran.result["turns"])) == (0, [3], TURNS - 1)
    assert "Damaged in the store, not listed: turn 3." in inside(capsys, "history").out


def struck_pages(path: Path, seed: int) -> Path:
    """Strike thirty bytes of a store in one of its pages behind the first."""
    bytes_of = bytearray(path.read_bytes())
    random_numbers = random.Random(seed)
    page = random_numbers.randrange(4096, len(bytes_of) - 4096, 4096)
    for _ in range(30):
        bytes_of[page + random_numbers.randrange(4096)] ^= random_numbers.randrange(1, 256)
    path.write_bytes(bytes_of)
    return path


@pytest.mark.parametrize("seed", range(8))
def test_a_struck_page_is_never_a_fault_of_the_program(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    path = Path(shutil.copy(FROZEN_STORE, tmp_path / "store.db"))
    open_store(path).close()
    struck_pages(path, seed)
    move_in(tmp_path, monkeypatch)
    for words in (("history",), ("store", "status"), ("part", "list"), ("store", "check")):
        ran = inside(capsys, *words)
        assert ran.status in (0, 2), ran.err
        if ran.status == 2 and not ran.out:
            assert one_line(ran).startswith("store ")


def test_a_store_left_open_and_found_damaged_is_not_written_on(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    writer = sqlite3.connect(path)
    open_store(path).close()
    with open_store(path) as store:
        store.begin_recording(recording())
        for number in range(200):
            store.add_turn(turn(number))
        check_store(str(path))  # another program has it open: it is whole
    writer.close()
    bytes_of = bytearray(path.read_bytes())
    # The head of a page of its own tree, wiped out: kind of page, number of cells, where they begin.
    for page in range(8 * 4096, len(bytes_of), 3 * 4096):
        bytes_of[page : page + 8] = b"\xff" * 8
    path.write_bytes(bytes_of)
    path.with_name("store.db-wal").write_bytes(b"\0" * 32)  # as an unclean end leaves one
    with pytest.raises(StoreDamaged, match="put it aside"):
        check_store(str(path))
