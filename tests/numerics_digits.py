"""The numbers of a few kept recordings, as the table of ``tests/promises/numerics_digits.csv`` freezes them."""

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from places import RECORDINGS, ROOT

from analysis.sweep import analyse
from logger.inputs.loading import load_sweep
from logger.inputs.origin import SweepOrigin
from logger.reports import sweep

TABLE = ROOT / "tests" / "promises" / "numerics_digits.csv"
HEADER = ("version", "recording", "number", "value")
FROZEN = ("wind-pump-as-found", "wind-pump-as-left", "wind-pump-mount-2")
OF_SWEEP = ("pooled", "decision")
"""Parts of a result whose numbers are frozen."""


def digits_now() -> dict[tuple[str, str], float]:
    """Return the numbers that the program gives now, by recording and by their place in the result."""
    found: dict[tuple[str, str], float] = {}
    for name in FROZEN:
        loaded = load_sweep(str(RECORDINGS / name / "recording.mcap"), {})
        as_json = sweep.as_json(analyse(loaded.capture), SweepOrigin(name, None, True), loaded.capture.link)
        for part in OF_SWEEP:
            found |= {(name, place): value for place, value in _numbers(as_json[part], part)}
    return found


def digits_of(version: int) -> dict[tuple[str, str], float]:
    """Return the frozen numbers of one version; none where it has no lines."""
    return {
        (row["recording"], row["number"]): float(row["value"])
        for row in rows()
        if int(row["version"]) == version
    }


def rows() -> list[dict[str, str]]:
    """Return the lines of the table."""
    with TABLE.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def add(version: int, path: Path = TABLE) -> None:
    """Add the numbers of today as those of a version that has none."""
    with path.open("a", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        for (recording, number), value in digits_now().items():
            table.writerow((version, recording, number, f"{value:.8g}"))


def _numbers(value: Any, place: str) -> Iterator[tuple[str, float]]:
    """Yield every length, angle and order vector that is there, whatever its depth."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from _numbers(one, f"{place}.{key}")
    elif isinstance(value, list):
        for at, one in enumerate(value):
            yield from _numbers(one, f"{place}[{at}]")
    elif isinstance(value, float):
        yield place, value
