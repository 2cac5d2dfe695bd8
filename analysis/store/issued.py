"""Records that were issued of what is stored: each has a number of its own. Rows are added, never changed."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sqlalchemy import insert

from analysis.errors import StoreError
from analysis.store import queries
from analysis.store.database import Database
from analysis.store.plain import plain_text
from analysis.store.schema_of_evidence import reports


@dataclass(frozen=True, kw_only=True, slots=True)
class IssuedRecord:
    """One record as it was issued."""

    number: str
    """The year, a hyphen, and a number within it."""
    kind: str
    """``page`` or ``lab``."""
    issued: str
    """Day, ISO 8601."""
    contents: Sequence[tuple[str, str]]
    """Identity and SHA-256 of each recording in it."""
    file: str
    sha256: str
    """Of the file as it was written."""
    other_forms: Sequence[tuple[str, str]] = ()
    """The same record as another kind of file: each file and its SHA-256."""
    amends: str | None = None
    """Number of the record it takes the place of."""
    reason: str | None = None


class Issued:
    """The records issued from one store, from ``Store.issued``. Every failure is a StoreError."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def next_number(self, year: int) -> str:
        """Return the number that comes next in a year; whoever adds a record with it first has it."""
        with self._database.reading("looking for the next number") as connection:
            newest = connection.execute(queries.newest_number(year)).scalar()
        return f"{year}-{int(newest.partition('-')[2]) + 1 if newest else 1:04d}"

    def add(self, record: IssuedRecord, write: Callable[[], None]) -> None:
        """Add a record and write its file: both, or neither where either cannot be.

        Raises StoreError where the number was taken meanwhile, and for an amended one that was never issued.
        """
        with self._database.writing("issuing a record", finds_or_adds=True) as connection:
            if connection.execute(queries.issued(plain_text(record.number))).first() is not None:
                raise StoreError(
                    f"store {self._database.name!r}: found record {record.number} issued by another "
                    "program meanwhile, expected it to be free: make the record again"
                )
            amends = record.amends
            if amends and connection.execute(queries.issued(plain_text(amends))).first() is None:
                raise StoreError(
                    f"store {self._database.name!r}: found no record {amends!r}, expected the one that is "
                    "amended: write its number as it stands at its top"
                )
            connection.execute(
                insert(reports).values(
                    number=plain_text(record.number),
                    kind=record.kind,
                    issued=record.issued,
                    amends=plain_text(amends) if amends else None,
                    reason=plain_text(record.reason) if record.reason else None,
                    contents=[
                        {"recording_id": recording_id, "sha256": sha256}
                        for recording_id, sha256 in record.contents
                    ]
                    + [{"form": plain_text(file), "sha256": sha256} for file, sha256 in record.other_forms],
                    file=plain_text(record.file),
                    sha256=record.sha256,
                )
            )
            write()

    def find(self, number: str) -> IssuedRecord | None:
        """Return the record of this number; None where it was never issued."""
        with self._database.reading("looking for a record") as connection:
            row = connection.execute(queries.issued(plain_text(number))).first()
        if row is None:
            return None
        return IssuedRecord(
            number=row.number,
            kind=row.kind,
            issued=row.issued,
            contents=[(one["recording_id"], one["sha256"]) for one in row.contents if "form" not in one],
            other_forms=[(one["form"], one["sha256"]) for one in row.contents if "form" in one],
            file=row.file,
            sha256=row.sha256,
            amends=row.amends,
            reason=row.reason,
        )
