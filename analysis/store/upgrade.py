"""The tables created or brought to the newest version by Alembic; imported only when that is needed."""

import sqlite3
from contextlib import closing
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.util import CommandError
from sqlalchemy import Connection

from analysis.errors import StoreError


def copy_before(path: Path, version: int) -> Path:
    """Copy an SQLite store of this version to NAME.before-N.db and return where the copy lies.

    Reads through SQLite itself, so that what still lies in the write-ahead log is in the copy. A copy that
    is there already is never replaced: the next free name is taken.
    """
    copy = path.with_name(f"{path.stem}.before-{version}.db")
    number = 2
    while copy.exists():
        copy = path.with_name(f"{path.stem}.before-{version}-{number}.db")
        number += 1
    half = copy.with_name(copy.name + ".part")
    half.unlink(missing_ok=True)  # left by a copy that was ended halfway
    try:
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(half)) as target:
            source.backup(target)
    except sqlite3.Error:
        half.unlink(missing_ok=True)  # a full disk needs the room
        raise
    half.rename(copy)
    return copy


def run_migrations(connection: Connection, name: str, folder: Path) -> None:
    """Run the migrations in ``folder`` that are still missing, inside the caller's transaction.

    Raises StoreError where the stored version is not one of them. Whatever fails, nothing has changed.
    """
    config = Config()
    config.set_main_option("script_location", str(folder).replace("%", "%%"))  # % is special to Config
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, "head")
    except CommandError as error:
        raise StoreError(
            f"store {name!r}: found a version no migration begins at ({error}), expected one this fullturn "
            "knows: name another store with --store"
        ) from error
