"""The store under several processes: none loses rows, a killed one leaves whole rows, a full disk is told."""

import random
import signal
import sqlite3
import sys
from pathlib import Path

import pytest
from store_rows import NEXT, NEXT_STEP, let_go, longer_ladder, recording, run, start, turn, wait_here

from analysis.store import open_store

WRITER = """
import sys
from analysis.store import open_store
import analysis.store.opening
from store_rows import recording, turn
print("here", flush=True)
sys.stdin.readline()
path, name, turns = sys.argv[1], sys.argv[2], int(sys.argv[3])
with open_store(path, busy_timeout_s=60) as store:
    store.begin_recording(recording(name, part=name))
    for number in range(turns):
        print(store.add_turn(turn(number, name)), flush=True)
"""

UPGRADER = """
import sys
from pathlib import Path
from analysis.store import SCHEMA_VERSION, open_store
from analysis.store.opening import Ladder
print("here", flush=True)
sys.stdin.readline()
open_store(sys.argv[1], busy_timeout_s=60, ladder=Ladder(SCHEMA_VERSION + 1, Path(sys.argv[2]))).close()
"""

FULL = """
import resource, sys
from pathlib import Path
from analysis.errors import StoreError
from analysis.store import open_store
from store_rows import recording, turn
with open_store(sys.argv[1]) as store:
    store.begin_recording(recording())
    kept = [store.add_turn(turn(0))]
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    log = Path(sys.argv[1] + "-wal").stat().st_size
    resource.setrlimit(resource.RLIMIT_FSIZE, (log + 100_000, hard))
    try:
        for number in range(1, 1000):
            kept.append(store.add_turn(turn(number)))
    except StoreError as error:
        print(error)
    print(kept == [row.id for row in store.history()])
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    kept.append(store.add_turn(turn(number)))
    print(kept == [row.id for row in store.history()])
"""


def whole(path: Path) -> None:
    """Hold a store to what must be true whatever happened to its writers."""
    connection = sqlite3.connect(path)
    try:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        counts = "SELECT (SELECT count(*) FROM turn_orders WHERE turn_id = id) FROM turns"
        assert {count for (count,) in connection.execute(counts)} <= {3}
    finally:
        connection.close()


def test_two_processes_create_and_write_one_store_and_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "kept.db"
    writers = [start(WRITER, path, name, 200) for name in ("left", "right")]
    for writer in writers:  # both have loaded everything: they open the store that is not there at once
        wait_here(writer)
    for writer in writers:
        let_go(writer)
    reported = [[int(line) for line in writer.communicate()[0].split()] for writer in writers]
    assert [writer.returncode for writer in writers] == [0, 0]
    with open_store(path) as store:
        for name, numbers in zip(("left", "right"), reported, strict=True):
            assert [row.id for row in store.history(name)] == numbers
            assert len(numbers) == 200
    whole(path)


def test_an_empty_store_is_made_by_three_at_once(tmp_path: Path) -> None:
    path = tmp_path / "kept.db"
    writers = [start(WRITER, path, name, 1) for name in ("a", "b", "c")]
    for writer in writers:
        wait_here(writer)
    for writer in writers:
        let_go(writer)
    assert sorted(int(writer.communicate()[0]) for writer in writers) == [1, 2, 3]
    whole(path)


def test_two_processes_that_upgrade_one_store_make_one_copy_and_one_step(tmp_path: Path) -> None:
    path = tmp_path / "kept.db"
    open_store(path).close()
    # whoever comes first waits inside the step, holding the store, until the other is on its way as well
    waits = '    print("inside", flush=True)\n    import sys; sys.stdin.readline()\n'
    ladder = longer_ladder(tmp_path / "steps", NEXT_STEP + waits)
    first, second = (start(UPGRADER, path, ladder.folder) for _ in range(2))
    for upgrader in (first, second):
        wait_here(upgrader)
    assert first.stdin is not None
    assert first.stdout is not None
    first.stdin.write("go\n")
    first.stdin.flush()
    assert first.stdout.readline() == "inside\n"
    let_go(second)
    assert (first.communicate("on\n")[0], second.communicate()[0]) == ("", "")
    assert (first.returncode, second.returncode) == (0, 0)
    assert [found.name for found in tmp_path.glob("*before*")] == [f"kept.before-{NEXT - 1}.db"]
    with open_store(path, ladder=ladder) as store:
        assert store.history() == []


def test_a_writer_killed_at_any_moment_leaves_every_turn_whole(tmp_path: Path) -> None:
    path = tmp_path / "kept.db"
    open_store(path).close()
    moments = random.Random(7)
    for attempt in range(4):
        name = f"r-{attempt}"
        writer = start(WRITER, path, name, 1_000_000)
        assert writer.stdin is not None
        assert writer.stdout is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
        assert writer.stdout.readline() == "here\n"
        reported = [int(writer.stdout.readline()) for _ in range(moments.randint(1, 40))]
        writer.send_signal(signal.SIGKILL)
        # By the stream that readline has read ahead with: communicate would not see those lines.
        reported += [int(line) for line in writer.stdout.read().splitlines()]
        with writer:
            pass
        whole(path)
        with open_store(path) as store:
            kept = [row.id for row in store.history(name)]
            store.add_turn(turn(0, name))
        # a turn can have been stored and not yet told, never the other way
        assert kept[: len(reported)] == reported
        assert len(kept) - len(reported) in (0, 1)


@pytest.mark.skipif(sys.platform == "win32", reason="limits of this kind exist on Unix only")
def test_a_full_disk_is_told_and_what_was_written_stays(tmp_path: Path) -> None:
    # a limit on the size of files stands in for the disk: the write itself fails, inside SQLite
    error, kept_then, kept_later = run(FULL, tmp_path / "kept.db").splitlines()
    assert "the disk is full" in error
    assert (kept_then, kept_later) == ("True", "True")
    whole(tmp_path / "kept.db")


def test_a_store_left_without_closing_is_opened_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "kept.db"
    lines = """
import os, sys
from analysis.store import open_store
from store_rows import recording, turn
store = open_store(sys.argv[1])
store.begin_recording(recording())
store.add_turn(turn())
os._exit(0)
"""
    run(lines, path)
    with open_store(path) as store:
        store.begin_recording(recording())
        store.add_turn(turn(1))
        assert len(store.history()) == 2
