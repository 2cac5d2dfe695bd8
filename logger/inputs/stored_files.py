"""Files of stored recordings held to what the store knows of them, and found again where they were moved.

A file is that of a recording by its identity and its SHA-256 together; a name says nothing.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from analysis import store
from analysis.errors import BadInput, RecordingError
from logger.recording import RecordingReader, sha256_of

SUFFIX = ".mcap"


@dataclass(frozen=True, slots=True)
class FoundFile:
    """A stored recording, and where a file of it lies."""

    recording_id: str
    stored: str
    """Where the store says that it lies."""
    found: str
    """Where it lies."""


@dataclass(frozen=True)
class FileCheck:
    """What became of the files of a store."""

    recordings: int
    whole: int
    """Lie where the store says, and have the SHA-256 that they were stored with."""
    moved: tuple[FoundFile, ...]
    """Lie elsewhere, among other recordings of the store."""
    altered: tuple["store.StoredFile", ...]
    missing: tuple["store.StoredFile", ...]
    unfinished: tuple["store.StoredFile", ...]
    """Of recordings that were never finished in the store: nothing is known to hold them to."""


@dataclass(frozen=True)
class FoundFiles:
    """What was found in a folder."""

    looked_at: int
    """Recordings that lay there."""
    linked: tuple[FoundFile, ...]
    altered: tuple[FoundFile, ...]
    """Of the same recording, with another SHA-256."""
    missing: tuple["store.StoredFile", ...]
    """Not found there either."""


def check_files(opened: "store.Store") -> FileCheck:
    """Hold every recording's file to its SHA-256. Raises StoreError."""
    files = list(opened.upkeep.files())
    folders = sorted({Path(one.file).parent for one in files})
    whole, moved = 0, list[FoundFile]()
    altered, missing, unfinished = (list[store.StoredFile]() for _ in range(3))
    for one in files:
        path = Path(one.file)
        if one.sha256 is None:
            unfinished.append(one)
        elif (found := _sha256(path)) == one.sha256:
            whole += 1
        elif found is not None:
            altered.append(one)
        elif (place := _elsewhere(one, folders)) is not None:
            moved.append(FoundFile(one.recording_id, one.file, str(place)))
        else:
            missing.append(one)
    return FileCheck(len(files), whole, tuple(moved), tuple(altered), tuple(missing), tuple(unfinished))


def find_files(opened: "store.Store", folder: Path) -> FoundFiles:
    """Look in a folder and all below it for files that the store misses, and write where they lie.

    Raises BadInput for what is no folder, StoreError.
    """
    if not folder.is_dir():
        raise BadInput(f"{folder} is no folder: name the one that the recordings were moved to")
    gone = {
        one.recording_id: one
        for one in opened.upkeep.files()
        if one.sha256 is not None and _sha256(Path(one.file)) != one.sha256
    }
    looked_at, there = 0, defaultdict[str, list[Path]](list)
    for path in sorted(folder.rglob(f"*{SUFFIX}")):
        looked_at += 1
        recording_id = _identity(path)
        if recording_id in gone:
            there[recording_id].append(path)
    linked, altered = list[FoundFile](), list[FoundFile]()
    for recording_id, paths in there.items():
        one = gone[recording_id]
        right = next((path for path in paths if _sha256(path) == one.sha256), None)
        if right is None:
            altered.append(FoundFile(recording_id, one.file, str(paths[0])))
            continue
        opened.upkeep.file_lies_at(recording_id, str(right.resolve()))
        linked.append(FoundFile(recording_id, one.file, str(right.resolve())))
    known = {one.recording_id for one in (*linked, *altered)}
    missing = tuple(one for one in gone.values() if one.recording_id not in known)
    return FoundFiles(looked_at, tuple(linked), tuple(altered), missing)


def _elsewhere(one: "store.StoredFile", folders: Iterable[Path]) -> Path | None:
    """Return where a file of this name and content lies among the other recordings of the store."""
    name = Path(one.file).name
    return next((folder / name for folder in folders if _sha256(folder / name) == one.sha256), None)


def _sha256(path: Path) -> str | None:
    """Return the checksum of a file; None where there is none that can be read."""
    try:
        return sha256_of(path) if path.is_file() else None
    except (OSError, RecordingError):
        return None


def _identity(path: Path) -> str:
    try:
        return RecordingReader(path).origin.recording_id
    except (OSError, BadInput, RecordingError):
        return ""
