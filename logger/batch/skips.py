"""Reasons why parts of a job were left out, as the store keeps them: a note of the job each."""

import json
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from analysis import store
from analysis.errors import BadInput, StoreError


@dataclass(frozen=True, slots=True)
class SkippedPart:
    """A part that a person left out."""

    serial: str
    reason: str


def keep_skipped(where: str, job: str, one: SkippedPart, who: str = "") -> None:
    """Keep it. Raises StoreError."""
    text = json.dumps({"skipped": one.serial, "reason": one.reason}, ensure_ascii=False)
    made = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    with store.open_store(where) as opened:
        opened.job_notes.add(job, store.JobNote(text, made, store.initials(who) or None))


def skipped_of_job(job: str, where: str | None) -> tuple[SkippedPart, ...]:
    """Return what was left out of a job, of each serial the last reason; none where no store is."""
    if where is None or ("://" not in where and not Path(where).exists()):
        return ()
    try:
        with store.open_store(where) as opened:
            notes = opened.job_notes.of(job)
    except (StoreError, BadInput):
        return ()  # parts are measured all the same, and it is said where the store is needed
    found: dict[str, SkippedPart] = {}
    for note in notes:
        with suppress(ValueError, KeyError, TypeError):
            said = json.loads(note.text)
            found[said["skipped"]] = SkippedPart(said["skipped"], said["reason"])
    return tuple(found.values())
