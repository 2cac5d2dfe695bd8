"""Set-ups kept between sittings: the rig's share under the board's name, the part's under the part's.

TOML files in the user's config folder, one ``key = "value"`` a line.
"""

import re
import tomllib
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from analysis.capture import overdue, parse_certificate
from analysis.decision import limit_at_track
from analysis.errors import BadInput
from analysis.setup import BENCH_KEYS, RIG_PREFIX, parse_holes, parse_setup

FOLDER = "setups"


def check(text: Mapping[str, str], today: date) -> None:
    """Raise BadInput for a set-up of which anything cannot be used: limit, certificate, date or screws."""
    checked = parse_setup(text)
    if checked.limit is not None:
        limit_at_track(checked.limit, checked)
    parse_certificate(text.get("gauge_table", ""))
    overdue(text.get("gauge_due", ""), today)
    parse_holes(text.get("screws", ""), "screws")


def file_of(config_folder: Path, kind: str, name: str) -> Path:
    """Return the file of a rig or a part; no name leads out of the folder."""
    clean = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "unnamed"
    return config_folder / FOLDER / f"{kind}-{clean}.toml"


def read(path: Path) -> dict[str, str]:
    """Return a kept set-up; empty where there is none. Raises BadInput where it is damaged."""
    try:
        with path.open("rb") as file:
            text = {key: str(value) for key, value in tomllib.load(file).items()}
    except FileNotFoundError:
        return {}
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        raise BadInput(
            f"{path.name} cannot be read as a set-up ({error}): correct it or move it away, in {path.parent}"
        ) from error
    parse_setup(text)
    return text


def kept(config_folder: Path, board: str, part: str) -> dict[str, str]:
    """Return what was kept of a rig and of a part; empty where nothing was. Raises BadInput."""
    of_part = read(file_of(config_folder, "part", part)) if part else {}
    return {**of_part, **read(file_of(config_folder, "rig", board))}


def write(path: Path, text: Mapping[str, str]) -> None:
    """Keep a set-up; the file is there whole or not at all. Raises BadInput."""
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


def keep(config_folder: Path, board: str, text: Mapping[str, str]) -> None:
    """Keep a set-up, its rig's share under the board and its part's under the part. Raises BadInput."""
    rig = {key: value for key, value in text.items() if key in BENCH_KEYS and value}
    part = {
        key: value
        for key, value in text.items()
        if key not in BENCH_KEYS and not key.startswith(RIG_PREFIX) and value
    }
    if board and rig:
        write(file_of(config_folder, "rig", board), rig)
    if part.get("part"):
        write(file_of(config_folder, "part", part["part"]), part)


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _quoted(key)


def _quoted(text: str) -> str:
    plain = {'"': '\\"', "\\": "\\\\"}
    return '"' + "".join(plain.get(c, c if c.isprintable() else f"\\U{ord(c):08x}") for c in text) + '"'
