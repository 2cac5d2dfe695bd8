"""A store in a file or on a PostgreSQL server, the same to a test; read by the database's own driver."""

import json
import sqlite3
from contextlib import closing
from itertools import count
from pathlib import Path
from typing import Any

import postgres_server
import psycopg
import pytest

from analysis.store import open_store

EITHER = ("file", pytest.param("server", marks=[postgres_server.NEEDED, pytest.mark.slow]))
TEMPLATE = "made_once"
_numbers = count()


def server_with_template(server: postgres_server.Server) -> postgres_server.Server:
    """Have an empty store on a server, of which each test gets a copy: making one anew takes a second."""
    open_store(server.make_database(TEMPLATE)).close()
    return server


def empty_store(server: postgres_server.Server) -> str:
    """Return the URL of a store of a test's own."""
    return server.make_database(f"kept_{next(_numbers)}", TEMPLATE)


def ask(where: str, query: str) -> list[tuple[Any, ...]]:
    """Read with the database's own driver: another road than the one that wrote. As a file would have it."""
    if "://" not in where:
        with closing(sqlite3.connect(Path(where))) as file:
            return file.execute(query).fetchall()
    with psycopg.connect(where) as server:
        return [tuple(_as_in_file(value) for value in row) for row in server.execute(query).fetchall()]


def execute(where: str, *lines: str) -> None:
    """Change rows with the database's own driver."""
    if "://" not in where:
        with closing(sqlite3.connect(Path(where))) as file, file:
            for line in lines:
                file.execute(line)
        return
    with psycopg.connect(where) as server:
        for line in lines:
            server.execute(line)


def _as_in_file(value: Any) -> Any:
    if isinstance(value, bool):
        return int(value)
    return json.dumps(value) if isinstance(value, dict | list) else value
