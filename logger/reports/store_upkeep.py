"""The store looked after, as text and as JSON; the keys are a promise."""

from collections.abc import Sequence
from typing import Any

from analysis.store import SCHEMA_VERSION, Holdings, StoredFile
from logger.inputs import FileCheck, FoundFile, FoundFiles
from logger.reports.history import REPAIR
from logger.reports.phrases import Report, Section
from logger.reports.to_json import to_json

COUNTED = ("recordings", "turns", "analyses", "decisions", "parts", "jobs", "gauges", "reports")
ENDED = ("closed", "interrupted", "running")
FIND = "fullturn store find FOLDER looks for moved files and writes where they lie"


def status_as_json(
    where: str, size: int | None, holdings: Holdings | None, damage: Sequence[str]
) -> dict[str, Any]:
    """Return the object of ``store status``; ``holdings`` None: there is no store, or a damaged one."""
    exists = holdings is not None or bool(damage)
    return to_json(
        {
            "store": where,
            "exists": exists,
            "version": SCHEMA_VERSION if exists else None,
            "bytes": size,
            **{name: holdings.rows[name] if holdings else None for name in COUNTED},
            **{how: holdings.ended.get(how, 0) if holdings else None for how in ENDED},
            "damage": list(damage),
        }
    )


def status_as_text(where: str, size: int | None, holdings: Holdings | None, damage: Sequence[str]) -> Report:
    """Return the text of ``store status``."""
    if damage:
        return Report(f"The store ({where}) is damaged.", rows=tuple(damage), notes=(REPAIR,))
    if holdings is None:
        return Report(f"No store at {where} yet. fullturn record makes it.")
    rows, ended = holdings.rows, holdings.ended
    open_ones = [f"{ended[how]} {word}" for how, word in _OPEN if ended.get(how)]
    lying = "" if size is None else f", {size / 1e6:.1f} MB"
    return Report(
        f"{rows['recordings']} recordings with {rows['turns']} turns in {where} "
        f"(version {SCHEMA_VERSION}{lying})",
        rows=(
            f"{rows['decisions']} decisions; {rows['parts']} parts, {rows['jobs']} jobs, "
            f"{rows['gauges']} rows of gauges",
            *([", ".join(open_ones)] if open_ones else []),
        ),
        notes=("fullturn store check holds every file to its checksum.",),
    )


_OPEN = (
    ("interrupted", "interrupted: what came of them is kept"),
    ("running", "not finished: still recording, or the program was ended; store add FILE adds the rest"),
)


def check_as_json(found: FileCheck) -> dict[str, Any]:
    """Return the object of ``store check``."""
    return to_json(
        {
            "recordings": found.recordings,
            "whole": found.whole,
            "moved": [_found(one) for one in found.moved],
            "altered": [_stored(one) for one in found.altered],
            "missing": [_stored(one) for one in found.missing],
            "unfinished": [_stored(one) for one in found.unfinished],
        }
    )


def check_as_text(found: FileCheck, where: str) -> Report:
    """Return the text of ``store check``."""
    sections = (
        (
            "Altered since they were recorded; their stored results stay, put the right files back:",
            found.altered,
        ),
        (f"Missing; {FIND}:", found.missing),
        ("Not finished in the store; store add FILE adds what their files hold:", found.unfinished),
    )
    moved = tuple(f"{one.recording_id}  {one.stored} lies at {one.found}" for one in found.moved)
    return Report(
        f"{found.whole} of {found.recordings} recordings in {where} lie whole where it says",
        sections=(
            *((Section(f"Moved; {FIND}:", moved),) if moved else ()),
            *(
                Section(title, tuple(f"{one.recording_id}  {one.file}" for one in files))
                for title, files in sections
                if files
            ),
        ),
    )


def find_as_json(found: FoundFiles) -> dict[str, Any]:
    """Return the object of ``store find``."""
    return to_json(
        {
            "files": found.looked_at,
            "linked": [_found(one) for one in found.linked],
            "altered": [_found(one) for one in found.altered],
            "missing": [_stored(one) for one in found.missing],
        }
    )


def find_as_text(found: FoundFiles, folder: str) -> Report:
    """Return the text of ``store find``."""
    sections = (
        ("Linked:", tuple(f"{one.recording_id}  {one.stored} lies at {one.found}" for one in found.linked)),
        (
            "The same recording, altered since: not linked",
            tuple(f"{one.recording_id}  {one.found}" for one in found.altered),
        ),
        ("Still missing:", tuple(f"{one.recording_id}  {one.file}" for one in found.missing)),
    )
    return Report(
        f"{found.looked_at} recordings in {folder}, {len(found.linked)} of them were missed by the store",
        sections=tuple(Section(title, rows) for title, rows in sections if rows),
    )


def backup_as_json(file: str, size: int) -> dict[str, Any]:
    """Return the object of ``store backup``."""
    return to_json({"file": file, "bytes": size})


def backup_as_text(file: str, size: int, where: str) -> Report:
    """Return the text of ``store backup``."""
    return Report(
        f"{where} is copied to {file} ({size / 1e6:.1f} MB)",
        notes=(f"It is a store of its own: --store {file} opens it. Recordings stay where they lie.",),
    )


def _stored(one: StoredFile) -> dict[str, Any]:
    return {"recording_id": one.recording_id, "file": one.file, "sha256": one.sha256, "ended": one.ended}


def _found(one: FoundFile) -> dict[str, Any]:
    return {"recording_id": one.recording_id, "stored": one.stored, "found": one.found}
