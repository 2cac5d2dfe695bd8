"""Folders and rights that make a disk fail for real: a full one, a read-only one, a user without rights."""

import os
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

_NOBODY = 65534


@contextmanager
def small_disk(folder: Path, kib: int, *, read_only: bool = False) -> Iterator[Path]:
    """Mount a disk of so many KiB on a folder."""
    folder.mkdir()
    options = f"size={kib}k,mode=777" + (",ro" if read_only else "")
    subprocess.run(
        ["mount", "-t", "tmpfs", "-o", options, "none", str(folder)], check=True, capture_output=True
    )
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


def _disks_are_allowed() -> bool:
    try:
        with tempfile.TemporaryDirectory() as made, small_disk(Path(made) / "disk", 16):
            return True
    except (OSError, subprocess.CalledProcessError):
        return False


needs_small_disk = pytest.mark.skipif(not _disks_are_allowed(), reason="only a superuser mounts a disk")


@contextmanager
def open_folder() -> Iterator[Path]:
    """Make a folder that every user can reach; pytest's own are closed to others."""
    with tempfile.TemporaryDirectory() as made:
        os.chmod(made, 0o755)
        yield Path(made)


@contextmanager
def without_rights() -> Iterator[None]:
    """Run as a user who owns nothing, for a superuser passes every check of rights."""
    if os.geteuid() != 0:
        yield
        return
    groups = os.getgroups()
    os.setgroups([])
    os.setegid(_NOBODY)
    os.seteuid(_NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)
        os.setegid(0)
        os.setgroups(groups)
