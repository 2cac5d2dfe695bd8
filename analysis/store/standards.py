"""Limits of check standards, fixed before what is held against them. Rows are added, never changed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import insert

from analysis.errors import StoreError
from analysis.store import queries
from analysis.store.database import Database
from analysis.store.plain import plain_text
from analysis.store.schema_of_evidence import standards


@dataclass(frozen=True, kw_only=True, slots=True)
class StandardEntry:
    """The limits of one check standard at one stage."""

    part: str
    serial: str
    stage: str
    baseline: Sequence[str]
    """Recordings that they were fixed from."""
    n: int
    """Days among them."""
    mean_cos_mm: float
    mean_sin_mm: float
    s_mm: float
    dof: float
    alpha: float
    made: str
    """When, ISO 8601, UTC."""
    who: str | None = None
    """Initials."""
    standard_id: int | None = None
    """Number of the row; None before it is stored."""
    replaces: int | None = None


class Standards:
    """Check standards of one store, from ``Store.standards``. Every failure is a StoreError."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def fix(self, entry: StandardEntry) -> None:
        """Add limits; those of the same standard that are there stay, and are replaced from now on.

        Raises StoreError for a part that is not in the store.
        """
        before = self.newest(entry.part, entry.serial, entry.stage)
        with self._database.writing("fixing limits of a check standard", finds_or_adds=True) as connection:
            part = connection.execute(
                queries.part_row(plain_text(entry.part), plain_text(entry.serial))
            ).first()
            if part is None:
                raise StoreError(
                    f"store {self._database.name!r}: found no part {entry.part!r} {entry.serial!r}, expected "
                    "one with recordings: record it first"
                )
            connection.execute(
                insert(standards).values(
                    part_id=part.part_id,
                    stage=plain_text(entry.stage),
                    baseline=list(entry.baseline),
                    n=entry.n,
                    mean_cos_mm=entry.mean_cos_mm,
                    mean_sin_mm=entry.mean_sin_mm,
                    s_mm=entry.s_mm,
                    dof=entry.dof,
                    alpha=entry.alpha,
                    made=plain_text(entry.made),
                    who=entry.who,
                    replaces=before.standard_id if before else None,
                )
            )

    def newest(self, part: str, serial: str, stage: str) -> StandardEntry | None:
        """Return the limits that hold; None where none were fixed."""
        wanted = (plain_text(part), plain_text(serial), stage)
        return next((one for one in self.all() if (one.part, one.serial, one.stage) == wanted), None)

    def all(self) -> list[StandardEntry]:
        """Return all that was ever fixed, newest first."""
        with self._database.reading("reading check standards") as connection:
            return [_entry(row) for row in connection.execute(queries.all_standards())]


def _entry(row: Any) -> StandardEntry:
    values = dict(row._mapping)
    del values["part_id"]
    return StandardEntry(part=values.pop("number"), serial=values.pop("serial"), **values)
