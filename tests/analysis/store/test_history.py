"""The history of the store: of one part, the newest, at a flat cost."""

import sqlite3
from pathlib import Path

import pytest
from either_store import execute
from sqlalchemy import Engine, event
from store_rows import recording, turn

from analysis.store import Store, open_store


def test_the_history_of_a_part_leaves_out_the_others(either: Store) -> None:
    either.begin_recording(recording())
    either.begin_recording(recording("r-2", part="hub"))
    mine = either.add_turn(turn())
    either.add_turn(turn(recording_id="r-2"))
    assert [row.id for row in either.history("flange")] == [mine]


def test_a_limit_gives_the_newest_turns_oldest_first(either: Store) -> None:
    either.begin_recording(recording())
    numbers = [either.add_turn(turn(k)) for k in range(5)]
    assert [row.id for row in either.history("flange", 2)] == numbers[-2:]


def test_a_turn_may_belong_to_another_part_than_its_recording_began_with(either: Store) -> None:
    either.begin_recording(recording())
    either.add_turn(turn(part="hub", stage="as left"))
    assert [(row.part, row.stage) for row in either.history("hub")] == [("hub", "as left")]


def test_the_turns_of_a_later_edition_are_not_listed_as_recorded_ones(either: Store, where: str) -> None:
    either.begin_recording(recording())
    number = either.add_turn(turn())
    columns = "recording_id, turn, part, stage, direction, recorded, samples, gauge_values, highest_order, "
    columns += "code_version, options"
    execute(  # what a re-analysis would add one day: rows only
        where,
        "INSERT INTO analyses (recording_id, edition, code_version) VALUES ('r-1', 1, '9')",
        f"INSERT INTO turns ({columns}, edition) SELECT {columns}, 1 FROM turns",
    )
    assert [row.id for row in either.history("flange")] == [number]


def fill(path: Path, copies: int) -> None:
    """Copy the stored turn many times, half of them to another part, with the database's own means."""
    columns = (
        "recording_id, edition, turn, stage, direction, recorded, samples, gauge_values, highest_order, "
    )
    columns += "code_version, options"
    connection = sqlite3.connect(path)
    with connection:
        connection.execute(
            "WITH RECURSIVE n(k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < ?) "
            f"INSERT INTO turns ({columns}, part) "
            f"SELECT {columns}, CASE WHEN k % 2 THEN part ELSE 'hub' END FROM n, turns WHERE turns.id = 1",
            (copies,),
        )
    connection.close()


@pytest.mark.parametrize("part", ["flange", None])
def test_the_cost_of_the_history_is_flat_against_the_number_of_stored_turns(
    tmp_path: Path, part: str | None
) -> None:
    # counted in steps of SQLite's machine, so that no clock is asked
    steps: list[int] = []
    statements: list[str] = []

    def watch(connection: sqlite3.Connection, _entry: object) -> None:
        connection.set_progress_handler(lambda: steps.append(1), 1)
        connection.set_trace_callback(statements.append)

    costs = []
    event.listen(Engine, "connect", watch)
    try:
        for copies in (100, 50_000):
            with open_store(tmp_path / f"{copies}.db") as store:
                store.begin_recording(recording())
                store.add_turn(turn())
                fill(tmp_path / f"{copies}.db", copies)
                store.history(part, 1)  # the tables have grown under this connection: it reads them anew
                steps.clear()
                statements.clear()
                assert len(store.history(part, 20)) == 20
                costs.append(len(steps))
    finally:
        event.remove(Engine, "connect", watch)
    assert 0 < costs[0] == costs[1]
    assert [text.split()[0] for text in statements] == ["BEGIN", "SELECT", "COMMIT"]
