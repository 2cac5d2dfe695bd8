"""The folder that a tour leaves behind: made anew where a tour made it, and never taken from anybody."""

import json
from dataclasses import dataclass
from pathlib import Path

from analysis.errors import BadInput

MARK = "tour.json"
"""Says that a tour made the folder, and which files in it are its own."""
KEY = "made_by_fullturn_tour"


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder that is the tour's own."""

    path: Path

    def own(self, names: list[str]) -> None:
        """Write down which files are the tour's own. Raises BadInput where that cannot be done."""
        try:
            (self.path / MARK).write_text(json.dumps({KEY: sorted(names)}, indent=1) + "\n", "utf-8")
        except OSError as error:
            raise _not_writable(self.path, error) from error


def prepared(path: Path) -> Folder:
    """Return the folder, empty: new, or a tour's own with what that left taken away.

    Raises BadInput for a folder, or a file in it, that no tour made.
    """
    try:
        if path.exists():
            for name in _own_files(path):
                (path / name).unlink(missing_ok=True)
        path.mkdir(exist_ok=True)
    except OSError as error:
        raise _not_writable(path, error) from error
    folder = Folder(path)
    folder.own([])
    return folder


def _own_files(path: Path) -> list[str]:
    """Return what lies there, all of it a tour's."""
    foreign = BadInput(f"{path} is there and no tour made it: nothing in it is touched; name another with -o")
    if path.is_symlink() or not path.is_dir():
        raise foreign
    there = sorted(each.name for each in path.iterdir())
    try:
        own = json.loads((path / MARK).read_text("utf-8"))[KEY]
    except (FileNotFoundError, ValueError, KeyError, TypeError):
        if not there:
            return []
        raise foreign from None
    strange = [name for name in there if name != MARK and name not in own]
    if strange:
        raise BadInput(
            f"{path / strange[0]} lies in the tour's folder and is not the tour's: move it away, or name "
            "another folder with -o"
        )
    return there


def _not_writable(path: Path, error: OSError) -> BadInput:
    return BadInput(f"{path} cannot be written: {error.strerror}; name another folder with -o")
