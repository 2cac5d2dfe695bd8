"""Every statement that the store sends goes by an index that narrows it, whether SQLite knows its tables or not."""

import inspect
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from benchmarks.made_stores import fill
from sqlalchemy import Engine, event
from store_rows import recording, turn

from analysis.store import (
    ClosingFacts,
    GaugeEntry,
    HistoryFilter,
    JobEntry,
    JobNote,
    PartEntry,
    StandardEntry,
    Standards,
    Store,
    open_store,
)
from analysis.store.issued import Issued, IssuedRecord
from analysis.store.register import Register
from analysis.store.upkeep import COUNTED, Upkeep

SETUP = {
    "part": "flange",
    "serial": "1",
    "operator": "AB",
    "gauge_id": "DI-07",
    "limit": "0.050 mm",
    "temperature": "20 C",
}
DECIDED = {
    "left_out": [{"from_deg": 1.0, "to_deg": 2.0, "reason": "a chip"}],
    "decision": {"quantity": "tir", "state": "within"},
}
NARROWED: tuple[dict[str, str], ...] = (
    {"serial": "1"},
    {"job": "7"},
    {"stage": "as found"},
    {"state": "within"},
    {"state": "none"},
    {"state": "interrupted"},
    {"gauge": "DI-07"},
    {"operator": "AB"},
    {"since": "2026-01-01", "before": "2026-02-01"},
    {"since": "2026-01-01", "before": "2026-02-01", "job": "7", "stage": "as found", "gauge": "DI-07"},
)
FEW = ("parts", "jobs", "gauges", "standards")
"""Tables of things that are few and listed whole."""
COUNTING = re.compile(
    r"SELECT (recordings\.ended, )?count\(\*\) AS count_1 FROM \w+( GROUP BY recordings\.ended)?$"
)
"""Counting a table reads it, whatever the index."""
EDITION_ALONE = re.compile(r"\(edition=\?\)")

Statement = tuple[str, Any]


@contextmanager
def sent() -> Iterator[list[Statement]]:
    """Collect every statement that is sent to a database meanwhile, with its values."""
    statements: list[Statement] = []

    def before(_connection: Any, _cursor: Any, text: str, values: Any, _context: Any, many: bool) -> None:
        statements.append((text, values[0] if many else values))

    event.listen(Engine, "before_cursor_execute", before)
    try:
        yield statements
    finally:
        event.remove(Engine, "before_cursor_execute", before)


def use_all_of(store: Store, folder: Path) -> None:
    """Call every method of a store that sends a statement, with every argument that changes what it sends."""
    for number in (1, 2):  # what is there already is looked for in another way
        store.begin_recording(recording(f"r-{number}", setup=SETUP, started=f"2026-01-0{number}T03:04:05Z"))
    store.begin_recording(recording("r-1", setup=SETUP))
    numbers = [store.add_turn(turn(0)) for _ in range(2)]
    store.add_note(numbers[0], "star", "2026-01-02T03:04:09Z")
    for closed in (False, True, True):
        store.finish_recording(
            "r-1", "a" * 64, closed, "within", DECIDED, "0.1.0", closing_facts=ClosingFacts()
        )
    for part in (None, "flange"):
        for limit in (None, 20):
            store.history(part, limit)
        for narrowed in NARROWED:
            store.history(part, 20, HistoryFilter(**narrowed))
        store.stored_turns(20, part)
    store.sweeps(["r-1", "r-2"])
    for result in (DECIDED, {}):
        store.add_analysis(
            "r-1", None, result, "0.2.0", numerics=2, made="2026-05-01T00:00:00Z", why="numerics 1 to 2"
        )
    limits = StandardEntry(
        part="flange", serial="1", stage="as left", baseline=["r-1"], n=10, mean_cos_mm=0.1, mean_sin_mm=0.2,
        s_mm=0.001, dof=18.0, alpha=0.01, made="2026-05-01T00:00:00Z",
    )  # fmt: skip
    store.standards.fix(limits)
    store.standards.newest("flange", "1", "as left")
    store.standards.all()
    store.looks_at(SETUP, ["limit"], "after cut")
    store.stored_recording("r-1")
    entry = GaugeEntry(id="DI-07", added="2026-01-01T00:00:00Z")
    for _ in range(2):
        store.register.add_gauge(entry)
    store.register.gauges()
    store.register.calibrations("DI-07")
    store.register.add_part(PartEntry(number="hub"))
    store.register.parts()
    store.register.parts_of_number("flange")
    store.register.add_job(JobEntry(number="8"))
    store.register.jobs()
    store.register.job("7")
    record = IssuedRecord(
        number=store.issued.next_number(2026), kind="page", issued="2026-05-01",
        contents=[("r-1", "a" * 64)], file="page.html", sha256="b" * 64,
    )  # fmt: skip
    store.issued.add(record, lambda: None)
    store.issued.find("2026-0001")
    store.job_notes.add("7", JobNote("seen", "2026-01-02T03:04:09Z"))
    store.job_notes.of("7")
    store.upkeep.holdings()
    list(store.upkeep.files())
    store.upkeep.recordings_of_file("a" * 64)
    store.upkeep.file_of_turn(1)
    store.upkeep.files_of_identity("r-", 3)
    store.upkeep.newest_files("flange", "as found")
    store.upkeep.file_lies_at("r-1", "elsewhere.mcap")
    store.upkeep.damage()
    store.upkeep.backup(folder / "copy.db")


OTHER = {"close", "readable_history", "frame"}
"""Send nothing that is asked of tables, or the statements of ``history`` and ``sweeps``."""


def test_every_method_is_among_those_that_are_looked_at(tmp_path: Path) -> None:
    called: set[str] = set()
    with open_store(tmp_path / "kept.db") as store, pytest.MonkeyPatch.context() as patch:
        for kind in (Store, Register, Standards, Issued, Upkeep):
            for name, method in inspect.getmembers(kind, inspect.isfunction):
                if not name.startswith("_") and name not in OTHER:

                    def noted(*given: Any, _name: str = name, _method: Any = method, **more: Any) -> Any:
                        called.add(_name)
                        return _method(*given, **more)

                    patch.setattr(kind, name, noted)
        wanted = {
            name
            for kind in (Store, Register, Standards, Issued, Upkeep)
            for name, _ in inspect.getmembers(kind, inspect.isfunction)
            if not name.startswith("_") and name not in OTHER
        }
        use_all_of(store, tmp_path)
    assert called == wanted


def plans(path: Path, statements: list[Statement]) -> Iterator[tuple[str, str]]:
    """Yield each statement with what SQLite says how it goes about it."""
    with closing(sqlite3.connect(path)) as database:
        for text, values in dict.fromkeys((text, tuple(values)) for text, values in statements):
            if text.startswith(("SELECT", "UPDATE", "DELETE")):
                steps = database.execute(f"EXPLAIN QUERY PLAN {text}", values).fetchall()
                yield " ".join(text.split()), "; ".join(step[3] for step in steps)


def narrows(text: str, plan: str) -> bool:
    """Tell whether a plan reads no more of a table than it has to."""
    whole = re.findall(r"SCAN (\w+)", plan)
    listed = set(whole) <= set(FEW) and " WHERE " not in text.partition(" FROM (")[0].rpartition("FROM")[2]
    counted = COUNTING.match(text) is not None and set(whole) <= set(COUNTED)
    return not EDITION_ALONE.search(plan) and (not whole or listed or counted)


@pytest.mark.parametrize("known", [False, True], ids=["as it is", "after ANALYZE"])
def test_query_plans_name_an_index_that_narrows(tmp_path: Path, known: bool) -> None:
    path = tmp_path / "kept.db"
    with open_store(path) as store, sent() as statements:
        use_all_of(store, tmp_path)
        store.history()
    statements += queries_of_damage()
    fill(path, recordings=200, turns=2_000)
    if known:
        with closing(sqlite3.connect(path)) as database:
            database.execute("ANALYZE")
    found = list(plans(path, statements))
    assert len(found) > 30
    assert [(text, plan) for text, plan in found if not narrows(text, plan)] == []


def queries_of_damage() -> list[Statement]:
    """Return what is asked where a row cannot be read."""
    from sqlalchemy.dialects import sqlite

    from analysis.store import history_queries

    asked = []
    for statement in (
        history_queries.ids_of_newest(None, 5),
        history_queries.ids_of_newest("flange", None),
        history_queries.history_of_turn(3),
    ):
        compiled = statement.compile(dialect=sqlite.dialect(), compile_kwargs={"render_postcompile": True})  # type: ignore[no-untyped-call]
        assert compiled.positiontup is not None
        asked.append((str(compiled), tuple(compiled.params[name] for name in compiled.positiontup)))
    return asked


@pytest.mark.parametrize(
    ("text", "plan"),
    [
        ("SELECT 1 FROM turns WHERE job = ?", "SCAN turns"),
        ("SELECT 1 FROM turns WHERE job = ?", "SEARCH turns USING INDEX turns_by_date (edition=?)"),
        ("SELECT 1 FROM parts WHERE name = ?", "SCAN parts"),
    ],
)
def test_a_plan_that_reads_a_table_through_is_found_out(text: str, plan: str) -> None:
    assert not narrows(text, plan)
