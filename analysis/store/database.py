"""The database of an open store: its engine, its name, and transactions whose failures are StoreErrors."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection, Engine, func, select

from analysis.errors import StoreError
from analysis.store.failures import as_store_error

_FINDS_OR_ADDS = 0x66756C6C7475726F
"""Whoever adds to a server's store what may be there already holds the lock of this number."""


class Database:
    """What every way into the store shares; may be used from several threads."""

    def __init__(self, engine: Engine, name: str) -> None:
        self.name = name
        self.engine = engine
        self._open = True

    @contextmanager
    def reading(self, doing: str) -> Iterator[Connection]:
        """Read in one transaction; ``doing`` in the form "adding a turn". Raises StoreError."""
        with self._transaction(doing, writes=False) as connection:
            yield connection

    @contextmanager
    def writing(self, doing: str, *, finds_or_adds: bool = False) -> Iterator[Connection]:
        """Write in one transaction, all of it or nothing. Raises StoreError.

        With ``finds_or_adds`` no other program looks for the same row meanwhile: it would add it twice.
        """
        with self._transaction(doing, writes=True) as connection:
            if finds_or_adds and connection.dialect.name == "postgresql":
                # First of all, before anything is looked at; SQLite has its lock from the beginning.
                connection.execute(select(func.pg_advisory_xact_lock(_FINDS_OR_ADDS)))
            yield connection

    @contextmanager
    def _transaction(self, doing: str, *, writes: bool) -> Iterator[Connection]:
        if not self._open:
            raise StoreError(f"store {self.name!r}: found it closed while {doing}, expected it open: open it")
        engine = self.engine.execution_options(writes=writes)
        with as_store_error(self.name, doing), engine.begin() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the database; harmless twice."""
        self._open = False
        self.engine.dispose()
