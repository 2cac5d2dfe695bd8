"""The store looked after: what it holds, where its files lie, a copy of it, whether SQLite finds it whole."""

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import update

from analysis.errors import StoreError
from analysis.store import queries
from analysis.store.database import Database
from analysis.store.failures import as_store_error
from analysis.store.plain import plain_text
from analysis.store.schema import analyses, recordings, turns
from analysis.store.schema_of_evidence import decisions, reports
from analysis.store.schema_of_register import gauges, jobs, parts

COUNTED = {
    "recordings": recordings,
    "turns": turns,
    "analyses": analyses,
    "decisions": decisions,
    "parts": parts,
    "jobs": jobs,
    "gauges": gauges,
    "reports": reports,
}


@dataclass(frozen=True, slots=True)
class StoredFile:
    """Where a recording's file lies, as the store knows it."""

    recording_id: str
    file: str
    sha256: str | None
    """None until the recording is finished."""
    ended: str | None


@dataclass(frozen=True, slots=True)
class Holdings:
    """What a store holds."""

    rows: Mapping[str, int]
    """Rows by table."""
    ended: Mapping[str, int]
    """Recordings by how they ended: ``closed``, ``interrupted``, ``running``."""


class Upkeep:
    """What is done to look after one store, from ``Store.upkeep``. Every failure is a StoreError."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def holdings(self) -> Holdings:
        """Return what it holds."""
        with self._database.reading("counting what it holds") as connection:
            rows = {
                name: connection.execute(queries.counted(table)).scalar_one()
                for name, table in COUNTED.items()
            }
            ended = {how or "running": number for how, number in connection.execute(queries.ended_counted())}
        return Holdings(rows, ended)

    def files(self) -> Iterator[StoredFile]:
        """Yield every recording's file, a page at a time: nothing is held up by who reads them."""
        after = ""
        while True:
            with self._database.reading("reading where files lie") as connection:
                page = [StoredFile(*row) for row in connection.execute(queries.files(after))]
            if not page:
                return
            yield from page
            after = page[-1].recording_id

    def file_of_turn(self, turn_id: int) -> StoredFile | None:
        """Return the recording that a turn is of; None where there is no such turn."""
        with self._database.reading("looking for a turn") as connection:
            found = connection.execute(queries.file_of_turn(turn_id)).first()
        return None if found is None else StoredFile(*found)

    def files_of_identity(self, beginning: str, limit: int) -> list[StoredFile]:
        """Return the recordings whose identity begins so, at most ``limit`` of them."""
        with self._database.reading("looking for a recording") as connection:
            found = connection.execute(queries.files_of_identity(plain_text(beginning), limit))
            return [StoredFile(*row) for row in found if row.recording_id.startswith(beginning)]

    def newest_files(self, part: str, stage: str) -> list[StoredFile]:
        """Return the newest recording of a part at a stage, one for each of its serials."""
        newest: dict[int | None, StoredFile] = {}
        with self._database.reading("looking for a part") as connection:
            for row in connection.execute(queries.files_of_stage(plain_text(part), stage)):
                newest.setdefault(row.part_id, StoredFile(*row[:4]))
        return list(newest.values())

    def recordings_of_file(self, sha256: str) -> list[tuple[str, str]]:
        """Return identity and place of the recordings that have this checksum."""
        with self._database.reading("looking for a file") as connection:
            return [
                (row.recording_id, row.file) for row in connection.execute(queries.files_of_sha256(sha256))
            ]

    def file_lies_at(self, recording_id: str, file: str) -> None:
        """Write where a recording's file lies now: the one column that is no part of what was measured."""
        with self._database.writing("writing where a file lies") as connection:
            connection.execute(
                update(recordings)
                .where(recordings.c.recording_id == plain_text(recording_id))
                .values(file=plain_text(file))
            )

    def damage(self) -> list[str]:
        """Return what SQLite finds wrong with the file, line by line; a server looks after itself."""
        if self._database.engine.dialect.name != "sqlite":
            return []
        with self._database.reading("looking whether it is whole") as connection:
            found = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA quick_check(20)")]
        return [] if found == ["ok"] else found

    def backup(self, target: Path) -> None:
        """Copy the store to a new file, whole, while others write. Raises StoreError, also for a server."""
        engine, name = self._database.engine, self._database.name
        if engine.dialect.name != "sqlite":
            raise StoreError(
                f"store {name!r}: found a server, expected a file: a server's database is copied by the "
                "server's own programs; ask who looks after it"
            )
        if target.exists():
            raise StoreError(f"backup {str(target)!r}: found a file there, expected none: name another one")
        if not target.parent.is_dir():
            raise StoreError(
                f"backup {str(target)!r}: found no folder {str(target.parent)!r}, expected one: make it"
            )
        half = target.with_name(target.name + ".part")
        with as_store_error(str(target), "copying the store to it"):
            half.unlink(missing_ok=True)  # left by a copy that was ended halfway
            try:
                with closing(sqlite3.connect(name)) as source, closing(sqlite3.connect(half)) as copy:
                    source.backup(copy)
                # Whole and under its name or not there at all; a file made meanwhile is not replaced.
                target.hardlink_to(half)
            finally:
                half.unlink(missing_ok=True)
