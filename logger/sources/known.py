"""Boards used before: which ports may be opened without a person naming them.

Opening a stranger's port may reset a machine controller, so a board enters the list only after a person
named its port and it answered hello. Kept in known.toml in the user's config folder. Opens no port.
"""

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import platformdirs

from analysis.errors import BadInput

CONFIG_VARIABLE = "FULLTURN_CONFIG"
"""Environment variable that names another config folder."""


@dataclass(frozen=True, slots=True)
class PortInfo:
    """A port as the computer lists it, or as it was typed, without opening it; empty text = not told."""

    path: str
    maker: str = ""
    product: str = ""
    serial: str = ""
    """Serial number of the USB device."""
    known: bool = False
    """Whether the board behind it was used before."""
    vendor_id: int | None = None
    """USB vendor number; None for what is no USB device."""
    product_id: int | None = None
    """USB product number."""

    def same_board(self, other: "PortInfo") -> bool:
        """Say whether both are one board: by USB identity, or by path where there is no serial number."""
        ids = (self.vendor_id, self.product_id, self.serial)
        if ids != (other.vendor_id, other.product_id, other.serial):
            return False
        return bool(self.serial and self.vendor_id is not None) or self.path == other.path


def config_folder(environ: Mapping[str, str] = os.environ) -> Path:
    """Return the folder of this user's settings; ``FULLTURN_CONFIG`` names another."""
    if environ.get(CONFIG_VARIABLE):
        return Path(environ[CONFIG_VARIABLE])
    return platformdirs.user_config_path("fullturn", appauthor=False)


class KnownBoards:
    """The list of boards used before. Parameters: ``folder`` that holds known.toml."""

    def __init__(self, folder: Path | None = None) -> None:
        self.path = (folder or config_folder()) / "known.toml"

    def boards(self) -> list[PortInfo]:
        """Return the boards in the order they were first used. Raises BadInput when the file is damaged."""
        try:
            listed = tomllib.loads(self.path.read_text(encoding="utf-8"))
            return [_board(entry) for entry in listed.get("board", [])]
        except FileNotFoundError:
            return []
        except OSError as error:
            raise BadInput(
                f"{self.path} cannot be read ({error.strerror}): correct its rights, or set {CONFIG_VARIABLE}"
            ) from error
        except (ValueError, RecursionError, TypeError, AttributeError) as error:
            raise BadInput(
                f"{self.path} is no list of boards ({_one_line(error)}): correct or delete it"
            ) from error

    def is_known(self, port: PortInfo) -> bool:
        """Say whether the board on this port was used before."""
        return any(board.same_board(port) for board in self.boards())

    def remember(self, port: PortInfo) -> None:
        """Add the board on this port, after it answered hello.

        A board that is in the list already keeps its place and gets its new path. Raises BadInput when the
        file cannot be written.
        """
        kept = self.boards()
        port = replace(port, known=True)
        changed = [port if board.same_board(port) else board for board in kept]
        if port not in changed:
            changed.append(port)
        if changed != kept:
            self._write("\n".join([_HEAD, *map(_entry, changed)]))

    def _write(self, text: str) -> None:
        new = self.path.with_name(f"{self.path.name}.{os.getpid()}")
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            new.write_text(text, encoding="utf-8")
            new.replace(self.path)
        except OSError as error:
            raise BadInput(
                f"{self.path} cannot be written ({error.strerror}): correct its rights, or set "
                f"{CONFIG_VARIABLE}"
            ) from error


_HEAD = (
    "# Boards that answered before. fullturn opens these without being told; delete an entry to end that.\n"
)


def _entry(port: PortInfo) -> str:
    lines = ["[[board]]", f"path = {_quoted(port.path)}"]
    if port.vendor_id is not None and port.product_id is not None:
        lines += [f"vendor_id = {port.vendor_id}", f"product_id = {port.product_id}"]
    words = {"serial": port.serial, "maker": port.maker, "product": port.product}
    lines += [f"{key} = {_quoted(text)}" for key, text in words.items() if text]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """Return a TOML basic string; what is not plain text is written by its number."""
    plain = {'"': '\\"', "\\": "\\\\"}
    return '"' + "".join(plain.get(c, c if c.isprintable() else f"\\U{ord(c):08x}") for c in text) + '"'


def _board(entry: Mapping[str, object]) -> PortInfo:
    path = entry.get("path")
    if not isinstance(path, str):
        raise ValueError("a board has no path")
    maker, product, number = (str(entry.get(key, "")) for key in ("maker", "product", "serial"))
    vendor_id, product_id = entry.get("vendor_id"), entry.get("product_id")
    if not (isinstance(vendor_id, int) and isinstance(product_id, int)):
        vendor_id = product_id = None
    return PortInfo(path, maker, product, number, True, vendor_id, product_id)


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())
