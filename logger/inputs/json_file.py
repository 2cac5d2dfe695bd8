"""Samples as one JSON object: ``setup``, ``resolution_mm``, ``origin``, and ``samples`` by column."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TextIO

import numpy as np

from analysis.capture import Capture, Floats
from analysis.errors import BadInput
from logger.inputs.sample_table import (
    RESOLUTION,
    ReadingColumn,
    SampleTable,
    capture_from_columns,
    check_numbers,
    reading_column,
)


def write_json(table: SampleTable, file: TextIO) -> None:
    """Write the object; the same table makes the same bytes."""
    written = {
        **beside(table),
        "samples": {name: column.tolist() for name, column in table.columns.items()},
    }
    json.dump(written, file, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    file.write("\n")


def beside(table: SampleTable) -> dict[str, Any]:
    """Return what stands beside the samples, as JSON holds it."""
    return {
        "setup": dict(table.setup),
        "resolution_mm": table.resolution_mm or None,
        "origin": dict(table.recorded),
    }


def beside_csv(path: Path) -> Path:
    """Return where what stands beside the columns of a plain CSV is written: its name with .json after it."""
    return path.with_name(f"{path.name}.json")


def read_beside(path: Path) -> tuple[dict[str, str], list[tuple[str, str]]]:
    """Return set-up, the gauge's step among it, and words of the recording that ``beside`` wrote.

    Raises BadInput.
    """
    read = _object(path)
    if not isinstance(read, dict):
        raise BadInput(f"{path} is no object: export its CSV anew, or take it away")
    setup, origin = (_texts(path, key, read.get(key)) for key in ("setup", "origin"))
    return setup | _step(path, read), list(origin.items())


def read_json(path: Path, override: Mapping[str, str]) -> Capture:
    """Return the capture of such an object. Raises BadInput that says what of it cannot be used."""
    read = _object(path)
    samples = read.get("samples") if isinstance(read, dict) else None
    if not isinstance(samples, dict):
        raise BadInput(f'{path} holds no samples: expected {{"samples": {{"angle_deg": [...], ...}}}}')
    reading = reading_column(path, list(samples), override, _texts(path, "setup", read.get("setup")))
    columns = {name: _column(path, name, samples[name]) for name in reading.wanted(samples)}
    return capture_beside(path, columns, reading, read, override)


def capture_beside(
    path: Path,
    columns: Mapping[str, Floats],
    reading: ReadingColumn,
    read: Mapping[str, Any],
    override: Mapping[str, str],
) -> Capture:
    """Return the capture of these columns and of what stands ``beside`` them. Raises BadInput."""
    check_numbers(path, columns)
    setup, origin = (_texts(path, key, read.get(key)) for key in ("setup", "origin"))
    setup |= _step(path, read)
    return capture_from_columns(path, columns, reading, setup, list(origin.items()), override)


def _object(path: Path) -> Any:
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise BadInput(f"{path} is no JSON: {error}; export it anew") from error
    except OSError as error:
        raise BadInput(f"{path} cannot be read: {error.strerror}; name an existing file") from error


def _step(path: Path, read: Mapping[str, Any]) -> dict[str, str]:
    """Return the gauge's step as a set-up's text; empty where none is known."""
    step = read.get("resolution_mm")
    if step is None:
        return {}
    if isinstance(step, bool) or not isinstance(step, int | float) or not 0.0 < step < 1e6:
        raise BadInput(f"{path}: resolution_mm is {step!r}, expected a length over 0 in mm, or null")
    return {RESOLUTION: f"{step:.12g} mm"}


def _column(path: Path, name: str, values: Any) -> Floats:
    try:
        return np.asarray(values, np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise BadInput(f"{path}: {name} is no list of numbers: {error}; export it anew") from error


def _texts(path: Path, key: str, value: Any) -> dict[str, str]:
    if value is None:
        return {}
    if not isinstance(value, dict) or not all(isinstance(one, str) for one in value.values()):
        raise BadInput(f"{path}: {key} is no object of texts: export it anew")
    return dict(value)
