"""The readings of a record as CSV beside it: a file a sweep, named on the record with its checksum."""

import hashlib
import io
from dataclasses import dataclass
from pathlib import Path

from logger.inputs import from_recording, table_of, write_csv
from logger.page.part_on_page import MeasuredPart


@dataclass(frozen=True, slots=True)
class ReadingsFile:
    """One file of readings, yet to be written."""

    title: str
    path: Path
    readings: int
    data: bytes

    @property
    def sha256(self) -> str:
        """Checksum of the file."""
        return hashlib.sha256(self.data).hexdigest()


def readings_paths(path: Path, titles: tuple[str, ...]) -> list[Path]:
    """Return where each sweep's readings go: the name itself of one, with the stage in it of two."""
    if len(titles) == 1:
        return [path]
    return [path.with_name(f"{path.stem}-{title.lower().replace(' ', '-')}{path.suffix}") for title in titles]


def readings_files(part: MeasuredPart, path: Path) -> list[ReadingsFile]:
    """Return the readings of every sweep as ``fullturn export`` writes them."""
    found = []
    for title, where, one in zip(part.titles, readings_paths(path, part.titles), part.sweeps, strict=True):
        table = table_of(one.capture, from_recording(one.capture, one.origin))
        text = io.StringIO(newline="\n")
        write_csv(table, text)
        found.append(ReadingsFile(title, where, len(table), text.getvalue().encode()))
    return found
