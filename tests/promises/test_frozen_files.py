"""Files of earlier versions, frozen: a store and a job are read as they were written, and left so."""

import json
from pathlib import Path

import pytest
from places import FROZEN_JOBS, FROZEN_STORE
from promises import inside, outside
from promises.outside import Program

# --- frozen files of this version ----------------------------------------------------------------------


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "store.db"
    path.write_bytes(FROZEN_STORE.read_bytes())
    return path


def test_the_frozen_store_lists_its_turns(program: Program, store: Path) -> None:
    listed = json.loads(program.run("history", "--store", str(store), "--json")[1])["turns"]
    assert [(turn["id"], turn["part"], turn["stage"], turn["state"]) for turn in listed] == [
        (1, "bull-gear flange", "as found", "over"),
        (2, "bull-gear flange", "as found", "over"),
    ]
    # As they stand in the file: a number that is stored is never changed.
    assert [turn["tir_fit_mm"] for turn in listed] == [0.14748127465883756, 0.14605763986518938]
    assert {turn["recording_id"] for turn in listed} == {"575cb4a3-863b-45b3-a4d8-809770d03db4"}


def test_the_frozen_store_has_its_vectors_and_notes(store: Path) -> None:
    second, first = inside.stored_turns(store)
    assert (first.starred, first.left_out, second.starred) == (True, None, False)
    assert second.left_out == "Späne, \u2300 3 mm"
    assert [len(turn.cos_mm) for turn in (first, second)] == [15, 15]
    # Order 1 alone is most of this flange's runout: 0.142 mm of 0.147.
    assert 2 * abs(complex(first.cos_mm[0], first.sin_mm[0])) == pytest.approx(0.142, abs=0.001)


def test_opening_the_frozen_store_changes_none_of_its_rows(program: Program, store: Path) -> None:
    before = outside.rows_of(store)
    program.run("history", "--store", str(store))
    after = outside.rows_of(store)
    # A later version adds columns to the right, and its own number; what stood there stands there.
    assert after.pop("store_version") != before["store_version"]
    before_it = {table: rows for table, rows in before.items() if table != "store_version"}
    assert {
        table: [row[: len(rows[0])] for row in after[table]] for table, rows in before_it.items()
    } == before_it
    assert {table: len(rows) for table, rows in before.items()} == {
        "analyses": 1,
        "recordings": 1,
        "store_version": 1,
        "turn_notes": 6,
        "turn_orders": 30,
        "turns": 2,
    }


def test_the_frozen_job_is_found_with_all_it_held(tmp_path: Path) -> None:
    (path,) = FROZEN_JOBS.glob("jobs/*/job.json")
    (job,) = inside.read_jobs(FROZEN_JOBS)
    again = inside.write_job(tmp_path, job)
    assert again.relative_to(tmp_path) == path.relative_to(FROZEN_JOBS)
    assert json.loads(again.read_bytes()) == json.loads(path.read_bytes())
