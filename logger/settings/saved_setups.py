"""Saved set-ups: the bench's share under the board's name, the part's under the part's.

TOML files in the user's config folder, one ``key = "value"`` a line.
"""

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path

from analysis.decision import limit_at_track
from analysis.errors import BadInput
from analysis.setup import BENCH_KEYS, CERTIFICATE_KEYS, RIG_PREFIX, parse_setup

FOLDER = "setups"
BENCH, PART = "rig", "part"
"""Begin the names of the files."""
OF_ONE_RECORDING = ("looks_before", "gauge_register", "temperature", "serial")
"""Told anew for the next recording, and so never saved."""


def check_setup(text: Mapping[str, str]) -> None:
    """Raise BadInput for a typed set-up of which anything cannot be used, its limit at the track included."""
    checked = parse_setup(text)
    if checked.limit is not None:
        limit_at_track(checked.limit, checked)


def file_of(config_folder: Path, kind: str, name: str) -> Path:
    """Return the file of a bench (``rig``) or a ``part``; no name leads out of the folder."""
    clean = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "unnamed"
    return config_folder / FOLDER / f"{kind}-{clean}.toml"


def read(path: Path) -> dict[str, str]:
    """Return a saved set-up; empty where there is none. Raises BadInput where it is damaged."""
    try:
        with path.open("rb") as file:
            text = {key: str(value) for key, value in tomllib.load(file).items()}
    except FileNotFoundError:
        return {}
    except (ValueError, RecursionError, OSError) as error:
        raise BadInput(
            f"{path.name} cannot be read as a set-up ({error}): correct it or move it away, in {path.parent}"
        ) from error
    parse_setup(text)
    return text


def saved_for(config_folder: Path, board: str, part: str) -> dict[str, str]:
    """Return what was saved for a board and for a part; empty where nothing was. Raises BadInput."""
    of_part = read(file_of(config_folder, PART, part)) if part else {}
    return {**of_part, **read(file_of(config_folder, BENCH, board))}


def save(config_folder: Path, board: str, text: Mapping[str, str]) -> None:
    """Save a set-up, the bench's share under the board and the part's under the part. Raises BadInput.

    What a rig says is not saved: it has its own file.
    """
    # Where the register knows the gauge, its certificate is asked there again the next time.
    elsewhere = (*OF_ONE_RECORDING, *(CERTIFICATE_KEYS if text.get("gauge_register") else ()))
    given = {
        key: value
        for key, value in text.items()
        if value and not key.startswith(RIG_PREFIX) and key not in elsewhere
    }
    bench = {key: value for key, value in given.items() if key in BENCH_KEYS}
    part = {key: value for key, value in given.items() if key not in BENCH_KEYS}
    if board and bench:
        _write(file_of(config_folder, BENCH, board), bench)
    if part.get("part"):
        _write(file_of(config_folder, PART, part["part"]), part)


def _write(path: Path, text: Mapping[str, str]) -> None:
    """Write a file that is there whole or not at all."""
    new = path.with_suffix(".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        lines = [f"{_key(key)} = {_quoted(value)}\n" for key, value in sorted(text.items())]
        new.write_text("".join(lines), encoding="utf-8")
        new.replace(path)
    except OSError as error:
        raise BadInput(
            f"{path} cannot be written ({error.strerror}): the set-up holds for now only"
        ) from error


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _quoted(key)


def _quoted(text: str) -> str:
    plain = {'"': '\\"', "\\": "\\\\"}
    return '"' + "".join(plain.get(c, c if c.isprintable() else f"\\U{ord(c):08x}") for c in text) + '"'
