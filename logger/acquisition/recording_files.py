"""Where a recording lies: unnamed ones in a folder of their own, named ones beside it. None is ever deleted.

A name is a second entry for the same file, so that whoever follows it is not disturbed.
"""

import os
import re
import shutil
from pathlib import Path

from analysis.errors import BadInput

UNNAMED = "unnamed"


def unnamed_folder(data_folder: Path) -> Path:
    """Return the folder of recordings that nobody named."""
    return data_folder / UNNAMED


def keep_as(path: Path, name: str, folder: Path) -> Path:
    """Give a recording, also one still being written, a name in the data folder.

    Raises BadInput for a name that is no plain file name, or is there already.
    """
    clean = re.sub(r"\s+", "-", name.strip())
    if not re.fullmatch(r"[\w][\w.-]{0,79}", clean):
        raise BadInput(f"{name!r} is no name for a file: use letters, digits, - and _, at most 80")
    wanted = folder / (clean if clean.endswith(".mcap") else f"{clean}.mcap")
    if wanted.exists():
        raise BadInput(f"{wanted} exists already: recordings are never overwritten; choose another name")
    try:
        os.link(path, wanted)
    except OSError:
        try:
            shutil.copy2(path, wanted)  # a file system without second entries: what there is so far
        except OSError as error:
            raise BadInput(f"{wanted} cannot be made: {error.strerror}") from error
    return wanted


def newest_recording(data_folder: Path) -> Path | None:
    """Return the recording that was written to last, named or not; None where there is none."""
    found = [*data_folder.glob("*.mcap"), *unnamed_folder(data_folder).glob("*.mcap")]
    return max(found, key=lambda path: path.stat().st_mtime, default=None)
