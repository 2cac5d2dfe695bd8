"""Where a recording lies: unnamed ones in a folder of their own for 14 days, named ones beside it for good.

A name is a second entry for the same file, so that whoever follows it is not disturbed.
"""

import os
import re
import shutil
import time
from collections.abc import Callable
from pathlib import Path

from analysis.errors import BadInput

UNNAMED = "unnamed"
KEPT_DAYS = 14


def unnamed_folder(data_folder: Path) -> Path:
    """Return the folder of recordings that nobody named."""
    return data_folder / UNNAMED


def sweep_out(folder: Path, now_s: Callable[[], float] = time.time) -> int:
    """Delete unnamed recordings older than 14 days; return how many. Nothing else is touched."""
    gone = 0
    for path in sorted(folder.glob("*.mcap")) if folder.is_dir() else []:
        try:
            if now_s() - path.stat().st_mtime > KEPT_DAYS * 86_400:
                path.unlink()
                gone += 1
        except OSError:
            continue  # held by somebody, or gone already
    return gone


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
