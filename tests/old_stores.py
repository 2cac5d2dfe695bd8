"""Stores of earlier versions: the frozen files, and the same rows on a PostgreSQL server."""

import json
import shutil
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg
from places import REFERENCE

from analysis.store import open_store
from analysis.store.opening import OURS, Ladder

FROZEN = {number: REFERENCE / f"store_version_{number}.db" for number in (1, 2, 3)}
TABLES = ("recordings", "analyses", "turns", "turn_orders", "turn_notes")
"""Of versions 1 to 3, those first that others belong to."""
Rows = Mapping[str, list[tuple[Any, ...]]]


def ladder_up_to(number: int, folder: Path) -> Ladder:
    """Copy our migrations up to a version to a folder that is not there yet."""
    later = [path.name for path in OURS.folder.glob("versions/v*.py") if int(path.name[1:5]) > number]
    shutil.copytree(OURS.folder, folder, ignore=shutil.ignore_patterns("__pycache__", *later))
    return Ladder(number, folder)


def columns_of(frozen: Path) -> dict[str, list[str]]:
    """Return the columns of every table of a frozen store."""
    with closing(sqlite3.connect(frozen)) as database:
        return {
            table: [column[1] for column in found]
            for table in TABLES
            if (found := database.execute(f"PRAGMA table_info({table})").fetchall())
        }


def rows_of_file(path: Path, columns: Mapping[str, list[str]]) -> Rows:
    """Return these columns of every row of a store in a file, read with Python's own driver."""
    with closing(sqlite3.connect(path)) as database:
        return {
            table: database.execute(f"SELECT {', '.join(names)} FROM {table} ORDER BY 1, 2").fetchall()
            for table, names in columns.items()
        }


def rows_of_server(url: str, columns: Mapping[str, list[str]]) -> Rows:
    """Return the same of a store on a server, as the file would have them."""
    with psycopg.connect(url) as database:
        return {
            table: [
                tuple(_as_in_file(value) for value in row)
                for row in database.execute(
                    f"SELECT {', '.join(names)} FROM {table} ORDER BY 1, 2"
                ).fetchall()
            ]
            for table, names in columns.items()
        }


def _as_in_file(value: Any) -> Any:
    if isinstance(value, bool):
        return int(value)
    return json.dumps(value) if isinstance(value, dict | list) else value


def put_on_server(frozen: Path, number: int, url: str, folder: Path) -> None:
    """Make a store of an earlier version in an empty database of a server, with a frozen store's rows."""
    open_at(url, ladder_up_to(number, folder))
    columns = columns_of(frozen)
    rows = rows_of_file(frozen, columns)
    with psycopg.connect(url) as database:
        booleans = {
            (table, column)
            for table, column in database.execute(
                "SELECT table_name, column_name FROM information_schema.columns WHERE data_type = 'boolean'"
            )
        }
        for table, names in columns.items():
            marks = ", ".join(["%s"] * len(names))
            for row in rows[table]:
                values = [
                    bool(value) if (table, name) in booleans and value is not None else value
                    for name, value in zip(names, row, strict=True)
                ]
                database.execute(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks})", values)
        for table in ("turns", "turn_notes"):
            if table in columns:
                highest = f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), max(id)) FROM {table}"
                database.execute(f"{highest} HAVING count(*) > 0")


def open_at(where: str | Path, ladder: Ladder) -> None:
    """Bring a store to the version of a ladder and let go of it."""
    open_store(where, ladder=ladder).close()
