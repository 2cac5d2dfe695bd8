"""Readings that come as text: typed clock places, and CSV files in and out.

Both end in the same capture as a recording. A CSV has columns ``angle_deg`` and ``reading_UNIT`` (mm, um,
in or thou), optionally ``t_s``, ``turn`` and ``new``; lines ``# key = value`` are its set-up, and one of them
may state the gauge's step: ``# resolution = 0.001 mm``. Lines ``# from.KEY = value`` are no set-up: in them
an exported file says what its recording knew. Columns are parted by commas, or by semicolons or tabs, and
only then may a number have a decimal comma; the line of column names tells.
"""

import csv
import io
import math
import re
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
    FromRecording,
    Samples,
    TypedSet,
    parse_typed,
    read_recorded,
    recorded_words,
)
from analysis.capture.events import ClosingReading, TimedEvent
from analysis.errors import BadInput
from analysis.setup import parse_setup
from analysis.units import MM_PER, PRINTED_UNITS, parse_length

_OPTIONAL = ("t_s", "turn", "new")
FROM = "from."
RESOLUTION = "resolution"
"""Line of a CSV that tells the step of its gauge, which decimals of another unit cannot."""
_LONGEST_READING = 24
"""A reading with as many characters is read line by line, and one with these among them."""
_NOT_PLAIN = np.frombuffer(b"eE \t", np.uint8)
_FARTHEST = {"angle_deg": 3.6e11, "turn": 1e9, "t_s": 1e15}
"""What no angle (a thousand million turns), no turn and no time of a sweep goes beyond."""
_FARTHEST_READING = 1e6
"""Nor any reading, in any unit."""
_PLACES = {"mm": 7, "um": 4, "in": 9, "thou": 6}
"""Decimals that are written: a ten-thousandth of a micrometre."""


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


def is_csv(path: Path) -> bool:
    """Tell by the name alone; whatever the file holds is judged when it is read."""
    return path.suffix.lower() in (".csv", ".txt")


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
    units = [match.group(1) for name in names if (match := re.fullmatch(r"reading_(\w+)", name))]
    if "angle_deg" not in names or len(units) != 1 or units[0] not in PRINTED_UNITS:
        raise BadInput(
            f"{path} has the columns {', '.join(names)}: expected angle_deg and one of "
            f"{', '.join('reading_' + unit for unit in PRINTED_UNITS)}"
        )
    reading_name = f"reading_{units[0]}"
    wanted = ["angle_deg", reading_name, *(name for name in _OPTIONAL if name in names)]
    table = _Table(path, names, wanted, reading_name, parted_by)
    below = file.read()
    if "#" in below:
        below = "".join(_data_lines(io.StringIO(below, newline=""), setup, from_lines))
    columns, decimals = table.all_at_once(below) or table.line_by_line(below, before + 1)
    n = len(columns["angle_deg"])
    if n < 3:
        raise BadInput(f"{path} holds {n} readings: at least 3 are needed, better several hundred")
    timed = "t_s" in columns
    angle = np.radians(_unwrapped(columns["angle_deg"], columns.get("turn")))
    per = MM_PER[units[0]]
    samples = Samples(
        columns["t_s"] if timed else np.arange(n, dtype=np.float64),
        angle,
        columns[reading_name] * per,
        columns["new"] != 0 if "new" in columns else np.ones(n, bool),
        np.zeros(n, bool),
        np.zeros(n, np.int16),
    )
    stated = setup.pop(RESOLUTION, "")
    step_mm = parse_length(stated, f"{path}: {RESOLUTION}").mm if stated else 10.0**-decimals * per
    return Capture(
        samples,
        parse_setup(override, kept=setup),
        resolution_mm=step_mm,
        timed=timed,
        from_recording=read_recorded(from_lines),
    )


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
        within = all((np.abs(column) <= _farthest(name)).all() for name, column in columns.items())
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
    if abs(value) > _farthest(name):
        raise BadInput(
            f"{where}: {name} is {cell!r}, more than {_farthest(name):g} is none of a sweep: correct or "
            "delete the line"
        )
    return value


def _farthest(name: str) -> float:
    return _FARTHEST.get(name, _FARTHEST_READING)


def _decimals(cell: str) -> int:
    mantissa, _, exponent = cell.lower().partition("e")
    # Of an exponent of any length; a float ends at 10 to the -324th.
    return int(min(324.0, max(0.0, len(mantissa.partition(".")[2]) - float(exponent or 0))))


def _unwrapped(deg: Floats, turn: Floats | None) -> Floats:
    """Return angles that grow over turns: by the turn column, else where they fall back by over half."""
    if turn is not None:
        return np.mod(deg, 360.0) + 360.0 * turn
    if float(np.ptp(deg)) > 360.0 + 1e-9:
        return deg
    return np.degrees(np.unwrap(np.radians(deg)))


def write_csv(capture: Capture, file: TextIO, unit: str = "mm", recorded: FromRecording | None = None) -> int:
    """Write the samples of a capture, its set-up and what its recording knew first; returns how many.

    Cells of text are made harmless.
    """
    for key, value in sorted(capture.setup.text.items()):
        clean = "".join(character if character.isprintable() else " " for character in str(value))
        file.write(f"# {key} = {clean}\n")
    s = capture.samples
    if capture.resolution_mm > 0:
        file.write(f"# {RESOLUTION} = {capture.resolution_mm:.12g} mm\n")
    for key, value in (recorded_words(recorded) if recorded is not None else {}).items():
        file.write(f"# {FROM}{key} = {value}\n")
    per = MM_PER[unit]
    timed = capture.timed
    file.write(f"{'t_s,' if timed else ''}turn,angle_deg,reading_{unit},new\n")
    turn = np.floor(s.angle_rad / (2 * math.pi) + 1e-12).astype(np.int64)
    deg = np.round(np.degrees(s.angle_rad) - 360.0 * turn, 9) + 0.0  # no minus before a zero
    for k in range(len(s)):
        time = f"{s.t_s[k]:.6f}," if timed else ""
        reading = f"{s.reading_mm[k] / per:.{_PLACES[unit]}f}".rstrip("0").rstrip(".")
        file.write(f"{time}{turn[k]},{deg[k]:.9f},{reading},{int(s.new[k])}\n")
    return len(s)
