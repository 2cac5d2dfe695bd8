"""Readings that come as text: typed clock places, and CSV files.

Both end in the same capture as a recording. A CSV has columns ``angle_deg`` and ``reading_UNIT`` (mm, um,
in or thou), of several tips ``reading_1_UNIT``, ``reading_2_UNIT``, optionally ``t_s``, ``turn`` and
``new``; lines ``# key = value`` are its set-up, and one of them may state the gauge's step: ``# resolution
= 0.001 mm``. Lines ``# from.KEY = value`` are no set-up: in them an exported file says what its recording
knew. Columns are parted by commas, or by semicolons or tabs, and only then may a number have a decimal
comma; the line of column names tells. Of a file without any such line what stands beside it is read from
``NAME.csv.json``, where there is one.
"""

import csv
import io
import math
import warnings
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

import numpy as np

from analysis.capture import (
    AngleSource,
    Capture,
    Floats,
    Samples,
    TypedSet,
    parse_typed,
)
from analysis.capture.events import ClosingReading, TimedEvent
from analysis.errors import BadInput
from analysis.setup import parse_setup
from analysis.units import MM_PER
from logger.inputs.json_file import beside_csv, read_beside
from logger.inputs.sample_table import FROM, capture_from_columns, farthest, reading_column

_LONGEST_READING = 24
"""A reading with as many characters is read line by line, and one with these among them."""
_NOT_PLAIN = np.frombuffer(b"eE \t", np.uint8)


def typed_capture(text: str, setup: Mapping[str, str]) -> Capture:
    """Return the capture of readings typed at clock places."""
    typed: TypedSet = parse_typed(text)
    order = np.argsort(np.mod(typed.deg, 360.0), kind="stable")
    deg, reading = np.mod(typed.deg, 360.0)[order], typed.reading_mm[order]
    n = len(deg)
    samples = Samples(
        np.arange(n, dtype=np.float64),
        np.radians(deg),
        reading,
        np.ones(n, bool),
        np.zeros(n, bool),
        np.zeros(n, np.int16),
    )
    events = () if typed.closing_mm is None else (TimedEvent(None, ClosingReading(typed.closing_mm)),)
    return Capture(
        samples,
        parse_setup(setup),
        angle_source=AngleSource.TYPED,
        resolution_mm=typed.digit_mm,
        timed=False,
        events=events,
    )


def read_csv(path: Path, override: Mapping[str, str]) -> Capture:
    """Return the capture of a CSV file.

    Raises BadInput that names the line for text or NaN where a number should be, for a missing column, for
    two columns of readings, and for a file without readings.
    """
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            return _capture(path, file, override)
    except UnicodeDecodeError as error:
        raise BadInput(
            f"{path} is no text file: expected a CSV with columns angle_deg and reading_mm"
        ) from error
    except csv.Error as error:
        raise BadInput(f"{path} is no CSV that can be read: {error}; export it anew") from error
    except OSError as error:
        raise BadInput(f"{path} cannot be read: {error.strerror}; name an existing file") from error


def _capture(path: Path, file: TextIO, override: Mapping[str, str]) -> Capture:
    setup: dict[str, str] = {}
    from_lines: list[tuple[str, str]] = []
    lines = _data_lines(file, setup, from_lines)
    before, first = 0, ""
    for first in lines:
        if first.strip():
            break
        before += 1
    if not first.strip():
        raise BadInput(f"{path} is empty: expected a line of column names, angle_deg and reading_mm")
    parted_by = next((mark for mark in (";", "\t") if mark in first), ",")
    header = next(csv.reader([first], delimiter=parted_by))
    names = [name.strip().lower() for name in header]
    reading = reading_column(path, names, override, setup)
    wanted = reading.wanted(names)
    table = _Table(path, names, wanted, reading.name, parted_by)
    below = file.read()
    if "#" in below:
        below = "".join(_data_lines(io.StringIO(below, newline=""), setup, from_lines))
    columns, decimals = table.all_at_once(below) or table.line_by_line(below, before + 1)
    if not setup and not from_lines and beside_csv(path).is_file():
        setup, from_lines = read_beside(beside_csv(path))
    step_mm = 10.0**-decimals * MM_PER[reading.unit]
    return capture_from_columns(path, columns, reading, setup, from_lines, override, step_mm)


@dataclass(frozen=True)
class _Table:
    """The rows under the line of column names, read to the columns that are wanted."""

    path: Path
    names: list[str]
    wanted: list[str]
    reading: str
    """The column whose decimals tell the gauge's step."""
    parted_by: str

    def all_at_once(self, text: str) -> tuple[dict[str, Floats], int] | None:
        """Return the columns and the most decimals of a reading; None where a line is not plain numbers.

        The readings are read as text too: their decimals are counted as they were written.
        """
        kinds = dict.fromkeys(self.wanted, "f8") | {self.reading: f"S{_LONGEST_READING}"}
        row = np.dtype([(f"column {k}", kinds.get(name, "S1")) for k, name in enumerate(self.names)])
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", UserWarning)  # a file without readings is told below
                rows = np.loadtxt(
                    io.StringIO(text), row, delimiter=self.parted_by, comments=None, quotechar=None, ndmin=1
                )
            columns = {
                name: rows[f"column {self.names.index(name)}"].astype(np.float64) for name in self.wanted
            }
        except ValueError:
            return None
        cells = np.ascontiguousarray(rows[f"column {self.names.index(self.reading)}"])
        letters = cells.view(np.uint8).reshape(-1, _LONGEST_READING)
        plain = letters[:, -1].max(initial=0) == 0 and not np.isin(letters, _NOT_PLAIN).any()
        within = all((np.abs(column) <= farthest(name)).all() for name, column in columns.items())
        if not plain or not within:
            return None
        is_point = letters == ord(".")
        decimals = np.where(is_point.any(axis=1), (letters != 0).sum(axis=1) - is_point.argmax(axis=1) - 1, 0)
        return columns, int(decimals.max(initial=0))

    def line_by_line(self, text: str, before: int) -> tuple[dict[str, Floats], int]:
        """Return the same, more slowly, also where a cell is quoted, has a decimal comma or an exponent.

        ``before``: how many lines stand above these. Raises BadInput that names the first bad line.
        """
        columns: dict[str, list[float]] = {name: [] for name in self.wanted}
        decimals = 0
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=self.parted_by)
        for row in rows:
            if not row or not any(cell.strip() for cell in row):
                continue
            where, expected = f"{self.path} line {before + rows.line_num}", len(self.names)
            if len(row) < expected:
                raise BadInput(f"{where}: {len(row)} values, expected {expected}: complete the line")
            if any(cell.strip() for cell in row[expected:]):
                raise BadInput(
                    f"{where}: {len(row)} values, expected {expected}: a decimal comma between "
                    "commas cannot be told; write decimal points, or part the columns by semicolons"
                )
            for name in self.wanted:
                cell = row[self.names.index(name)].strip()
                if self.parted_by != ",":
                    cell = _with_point(where, name, cell)
                columns[name].append(_number(where, name, cell))
                if name == self.reading:
                    decimals = max(decimals, _decimals(cell))
        return {name: np.array(column) for name, column in columns.items()}, decimals


def _data_lines(
    lines: Iterable[str], setup: dict[str, str], from_lines: list[tuple[str, str]]
) -> Iterator[str]:
    """Yield the lines with those of a # blanked (so that line numbers stay), collecting what they say."""
    for line in lines:
        if line.lstrip().startswith("#"):
            key, equals, value = line.lstrip()[1:].partition("=")
            if key.strip().startswith(FROM):
                # A spreadsheet that saves the file again puts separators after it.
                from_lines.append((key.strip().removeprefix(FROM), value.strip(" ,;\t\r\n")))
            elif equals:
                setup[key.strip()] = value.strip()
            yield "\n"
        else:
            yield line


def _with_point(where: str, name: str, cell: str) -> str:
    """Return a number's text with its decimal comma as a point; refuse what may group thousands."""
    if cell.count(",") > 1 or ("," in cell and "." in cell):
        raise BadInput(
            f"{where}: {name} is {cell!r}: is it a decimal comma or one between thousands? write "
            "numbers without grouping"
        )
    return cell.replace(",", ".")


def _number(where: str, name: str, cell: str) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise BadInput(
            f"{where}: {name} is {cell!r}, expected a number with a decimal point: correct or delete the line"
        )
    if abs(value) > farthest(name):
        raise BadInput(
            f"{where}: {name} is {cell!r}, more than {farthest(name):g} is none of a sweep: correct or "
            "delete the line"
        )
    return value


def _decimals(cell: str) -> int:
    mantissa, _, exponent = cell.lower().partition("e")
    # Of an exponent of any length; a float ends at 10 to the -324th.
    return int(min(324.0, max(0.0, len(mantissa.partition(".")[2]) - float(exponent or 0))))
