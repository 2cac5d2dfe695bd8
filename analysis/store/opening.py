"""A store opened by its path or URL: looked at, created or brought up to date, or refused in one line.

A database that is not ours is never written to, not even its journal mode.
"""

import json
import os
import sqlite3
from contextlib import ExitStack
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, create_engine, event, func, inspect, make_url, select
from sqlalchemy.exc import ArgumentError, NoSuchModuleError
from sqlalchemy.pool import ConnectionPoolEntry

from analysis import store
from analysis.errors import StoreError
from analysis.store.access import Store
from analysis.store.failures import as_store_error
from analysis.store.schema import version
from analysis.store.version import SCHEMA_VERSION, VERSION_TABLE


@dataclass(frozen=True)
class Ladder:
    """Migrations and the version they lead up to; a test hands over a longer one."""

    newest: int
    folder: Path
    """Where env.py and versions/ lie."""


OURS = Ladder(SCHEMA_VERSION, Path(__file__).parent / "migrations")

_BRINGING_UP = 0x66756C6C7475726E
"""Whoever makes or upgrades the tables of a server's store holds the lock of this number."""
_SERVER_S = 5
"""How long a server that does not answer is waited for."""

_KINDS = "a path ending in .db, or a URL that begins with sqlite:/// or postgresql://"


def open_store(where: str | Path, *, busy_timeout_s: float = 5.0, ladder: Ladder = OURS) -> Store:
    """Open a store, creating it where there is none and bringing an older one up to date.

    Parameters: ``where`` a path ending in .db or an SQLAlchemy URL, ``busy_timeout_s`` how long to wait
    for another program's lock. An older SQLite store is copied to NAME.before-N.db first. Raises
    StoreError for a newer store, a database that is not ours, and whatever cannot be read or written.
    """
    url = _address(where)
    name = url.database if url.get_backend_name() == "sqlite" else url.render_as_string(hide_password=True)
    name = name or str(where)
    if url.get_backend_name() == "sqlite":
        _check_place(Path(name), name)
    with ExitStack() as undo:
        engine = _engine(url, name, busy_timeout_s)
        undo.callback(engine.dispose)
        with as_store_error(name, "opening it"):
            _bring_up(engine, name, ladder)
            if engine.dialect.name == "sqlite":
                _use_wal(engine)
        undo.pop_all()
        return Store(engine, name)


def _address(where: str | Path) -> URL:
    """Return the URL of a path or a URL; StoreError for anything else."""
    text = str(where)
    if "://" not in text:
        if not text.endswith(".db"):
            raise StoreError(f"store {text!r}: found neither, expected {_KINDS}: name it so")
        return URL.create("sqlite", database=text)
    try:
        url = make_url(text)
    except (ArgumentError, ValueError):  # the text is not repeated: it may hold a password
        raise StoreError(f"store: found a URL that cannot be read, expected {_KINDS}: correct it") from None
    kind = url.get_backend_name()
    plain_file = url.drivername in ("sqlite", "sqlite+pysqlite") and url.database and not url.query
    if url.drivername == "postgresql":
        return url.set(
            drivername="postgresql+psycopg"
        )  # the driver of the extra, not the library's older one
    if kind == "postgresql" or (plain_file and url.database != ":memory:"):
        return url
    shown = url.render_as_string(hide_password=True)
    raise StoreError(f"store {shown!r}: found another kind of database, expected {_KINDS}: name it so")


def _check_place(path: Path, name: str) -> None:
    """Refuse a place where SQLite could not write, in plainer words than its own."""
    folder = path.parent
    if not folder.is_dir():
        found, do = f"no folder {str(folder)!r}", "make the folder"
    elif path.is_dir():
        found, do = "a folder", "name a file in it"
    elif not os.access(folder, os.W_OK | os.X_OK):
        # also for a store that is there: SQLite keeps its journal beside it
        found, do = f"a folder {str(folder)!r} that cannot be written", "change its rights"
    elif path.exists() and not os.access(path, os.R_OK | os.W_OK):
        found, do = "a file that cannot be written", "change its rights"
    else:
        return
    raise StoreError(
        f"store {name!r}: found {found}, expected a file in a folder that can be written: {do}, or name "
        "another store with --store"
    )


def _engine(url: URL, name: str, busy_timeout_s: float) -> Engine:
    """Return the engine for a URL, nothing connected yet."""
    sqlite = url.get_backend_name() == "sqlite"
    try:
        engine = create_engine(
            url,
            connect_args={"timeout": busy_timeout_s} if sqlite else {"connect_timeout": _SERVER_S},
            json_serializer=partial(json.dumps, allow_nan=False),
        )
    except (ImportError, NoSuchModuleError) as error:
        raise StoreError(
            f"store {name!r}: found no driver ({error}), expected the one for this database: install the "
            "extra fullturn[lab]"
        ) from error
    if sqlite:
        event.listen(engine, "connect", _on_connect)
        event.listen(engine, "begin", _on_begin)
    return engine


def _on_connect(connection: sqlite3.Connection, _entry: ConnectionPoolEntry) -> None:
    # Python's own driver begins no transaction of itself then: _on_begin does, and knows which kind
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys = ON")


def _on_begin(connection: Connection) -> None:
    # A transaction that reads first and writes later cannot wait for a lock in between: ask for it at once.
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _use_wal(engine: Engine) -> None:
    """Let readers go on beside a writer. Kept in the file, so once is enough."""
    raw = engine.raw_connection()
    try:
        cursor = raw.cursor()
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.close()
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
            raise
        # Another program has it open; all is right without, only slower. The next to open it will do it.
    finally:
        raw.close()


def _bring_up(engine: Engine, name: str, ladder: Ladder) -> None:
    """Create the tables or bring them up to date, where they are not at the newest version already."""
    with engine.begin() as connection:
        if _version(connection, name, ladder.newest) == ladder.newest:
            return
    with engine.execution_options(writes=True).begin() as connection:
        if engine.dialect.name == "postgresql":
            # Two that make one type at a time fail there; SQLite has its lock from the beginning of a write.
            connection.execute(select(func.pg_advisory_xact_lock(_BRINGING_UP)))
        found = _version(connection, name, ladder.newest)  # again: another process may have been first
        if found == ladder.newest:
            return
        if found and engine.dialect.name == "sqlite":
            store.copy_before(Path(name), found)
        # By the face, which loads the migration library only here: it takes 0.75 s.
        store.run_migrations(connection, name, ladder.folder)


def _version(connection: Connection, name: str, newest: int) -> int:
    """Return the version of the tables, 0 for an empty database; StoreError where not ours, or newer."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return 0
    found = None
    if VERSION_TABLE in tables:
        found = connection.execute(select(version.c.version_num)).scalar()
    if found is None or not found.isdecimal():
        raise StoreError(
            f"store {name!r}: found a database with other tables in it, expected a store or an empty one: it "
            "is left alone; name another store with --store"
        )
    if int(found) > newest:
        raise StoreError(
            f"store {name!r}: found version {int(found)}, expected at most {newest}: it was written by a "
            "newer fullturn; install that one, or name another store with --store"
        )
    return int(found)
