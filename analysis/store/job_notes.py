"""Notes of jobs: what a person said of a job that no recording tells. Rows are added, never changed."""

from dataclasses import dataclass

from sqlalchemy import insert

from analysis.store import queries
from analysis.store.database import Database
from analysis.store.plain import plain_text
from analysis.store.schema_of_evidence import notes

JOB = "job"


@dataclass(frozen=True, slots=True)
class JobNote:
    """One note."""

    text: str
    made: str
    """When, ISO 8601, UTC."""
    who: str | None = None
    """Initials."""


class JobNotes:
    """Notes of the jobs of one store, from ``Store.job_notes``. Every failure is a StoreError."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, number: str, note: JobNote) -> None:
        """Add a note of a job by its number, which need not be in the register."""
        with self._database.writing("noting something of a job") as connection:
            connection.execute(
                insert(notes).values(
                    about=JOB,
                    about_id=plain_text(number),
                    text=plain_text(note.text),
                    who=note.who,
                    made=plain_text(note.made),
                )
            )

    def of(self, number: str) -> list[JobNote]:
        """Return the notes of a job, oldest first."""
        with self._database.reading("reading the notes of a job") as connection:
            rows = connection.execute(queries.notes_about(JOB, plain_text(number)))
            return [JobNote(row.text, row.made, row.who) for row in rows]
