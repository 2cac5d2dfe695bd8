"""What the database library raises, said as one StoreError: found, expected, what to do."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from json import JSONDecodeError

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from analysis.errors import StoreBusy, StoreDamaged, StoreError

_ELSEWHERE = "name another store with --store"
_ADVICE = {
    sqlite3.SQLITE_BUSY: "another program has held it for too long; close that program, or try again",
    sqlite3.SQLITE_LOCKED: "another program has held it for too long; close that program, or try again",
    sqlite3.SQLITE_FULL: f"the disk is full; make room, or {_ELSEWHERE}",
    sqlite3.SQLITE_IOERR: f"the disk is full or failing; make room, or {_ELSEWHERE}",
    sqlite3.SQLITE_READONLY: f"it cannot be written; change its rights, or {_ELSEWHERE}",
    sqlite3.SQLITE_CANTOPEN: f"look whether file and folder can be written, or {_ELSEWHERE}",
    sqlite3.SQLITE_NOTADB: f"this file is no store; {_ELSEWHERE}",
    sqlite3.SQLITE_CORRUPT: f"it is damaged; put it aside, and {_ELSEWHERE} (no recording is lost)",
}
_HELD = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_PRIMARY = 0xFF  # the low byte of an extended SQLite code is the plain one


@contextmanager
def as_store_error(name: str, doing: str) -> Iterator[None]:
    """Turn whatever the database raises inside into StoreError.

    Parameters: ``name`` the store as a person would name it, ``doing`` in the form "adding a turn".
    """
    try:
        yield
    except DBAPIError as error:
        raise _kind(error.orig)(line(name, doing, error.orig or error)) from error
    except (SQLAlchemyError, sqlite3.Error, OSError, OverflowError, JSONDecodeError) as error:
        raise _kind(error)(line(name, doing, error)) from error


def _kind(cause: BaseException | None) -> type[StoreError]:
    code = getattr(cause, "sqlite_errorcode", None)
    if isinstance(cause, ValueError) or (code is not None and code & _PRIMARY == sqlite3.SQLITE_CORRUPT):
        return StoreDamaged
    if isinstance(cause, sqlite3.OperationalError) and "decode" in str(cause).lower():
        return StoreDamaged  # bytes that are no text: the driver has no code of its own for it
    return StoreBusy if code is not None and code & _PRIMARY in _HELD else StoreError


def line(name: str, doing: str, cause: BaseException) -> str:
    """Return the one line a person gets for a failure of the database."""
    first = (str(cause).splitlines() or [type(cause).__name__])[0]
    code = getattr(cause, "sqlite_errorcode", None)
    advice = None if code is None else _ADVICE.get(code & _PRIMARY)
    advice = advice or f"look whether the database answers and can be written, or {_ELSEWHERE}"
    return f"store {name!r}: found {first!r} while {doing}, expected a store that answers: {advice}"
