"""Samples as the columns of a file, whichever kind it is: ``angle_deg``, a reading, and what else is known.

Beside them an exported file has the set-up as text, the step of the gauge, and what its recording knew.
"""

import re
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Capture, Floats, FromRecording, Samples, read_recorded, recorded_words
from analysis.errors import BadInput
from analysis.setup import parse_setup
from analysis.units import MM_PER, PRINTED_UNITS, parse_length

OPTIONAL = ("t_s", "turn", "new")
FEWEST = 3
FROM = "from."
RESOLUTION = "resolution"
"""Key beside the set-up's that tells the step of the gauge, which decimals of another unit cannot."""
_FARTHEST = {"angle_deg": 3.6e11, "turn": 1e9, "t_s": 1e15}
"""What no angle (a thousand million turns), no turn and no time of a sweep goes beyond."""
_FARTHEST_READING = 1e6
"""Nor any reading, in any unit."""


@dataclass(frozen=True)
class SampleTable:
    """Samples of one sweep, and what stands beside them."""

    columns: Mapping[str, NDArray[Any]]
    """As a capture has them, unit in the name."""
    setup: Mapping[str, str] = field(default_factory=dict)
    resolution_mm: float = 0.0
    """0 = not known."""
    recorded: Mapping[str, str] = field(default_factory=dict)
    """Words of what its recording knew, under their seal."""

    def __len__(self) -> int:
        return len(self.columns["angle_deg"])


def table_of(
    capture: Capture, recorded: FromRecording | None = None, opposed: Capture | None = None
) -> SampleTable:
    """Return the samples of a capture, its set-up and what its recording knew; text is made harmless.

    With the tip opposed to it each has a column of its own by its channel. Raises BadInput where the two were
    not read at the same moments.
    """
    setup = {
        key: "".join(character if character.isprintable() else " " for character in str(value))
        for key, value in capture.setup.text.items()
    }
    columns = capture.columns()
    if opposed is not None:
        columns = _of_both(columns, capture, opposed)
        setup["channel"] = str(capture.setup.channel)
        if opposed.resolution_mm != capture.resolution_mm:
            setup[f"{RESOLUTION}_{opposed.setup.channel}"] = f"{opposed.resolution_mm:.12g} mm"
    return SampleTable(
        columns,
        dict(sorted(setup.items())),
        capture.resolution_mm,
        recorded_words(recorded) if recorded is not None else {},
    )


def _of_both(columns: Mapping[str, NDArray[Any]], near: Capture, far: Capture) -> dict[str, NDArray[Any]]:
    """Return the columns with readings, and whether each is new, of two tips by their channels."""
    if not np.array_equal(near.samples.t_s, far.samples.t_s):
        raise BadInput(
            f"channels {near.setup.channel} and {far.setup.channel} were not read at the same moments, which "
            "one row of a file stands for: export each to a file of its own, with --channel"
        )
    there = {name: column for name, column in columns.items() if name not in ("reading_mm", "new")}
    for tip in sorted((near, far), key=lambda one: one.setup.channel):
        there[f"reading_{tip.setup.channel}_mm"] = tip.samples.reading_mm
        there[f"new_{tip.setup.channel}"] = tip.samples.new
    return there


@dataclass(frozen=True, slots=True)
class ReadingColumn:
    """The column of readings that a sweep is of."""

    name: str
    unit: str
    channels: tuple[int, ...] = ()
    """Channels that the file has columns of, rising; empty where its one column says none."""
    channel: int | None = None
    """The one of this column."""

    @property
    def new(self) -> str:
        """Its column that tells whether a reading is new, where each tip has one."""
        return "new" if self.channel is None else f"new_{self.channel}"

    def wanted(self, names: Container[str]) -> list[str]:
        """Return the columns of a file that a sweep is read from."""
        return [
            "angle_deg",
            self.name,
            *(name for name in dict.fromkeys((*OPTIONAL, self.new)) if name in names),
        ]


def reading_column(path: Path, names: Sequence[str], *setups: Mapping[str, str]) -> ReadingColumn:
    """Return the one column of readings, or of several tips that of the channel asked for.

    Parameters: ``setups`` say by ``channel`` which is asked for, the first that does; without any it is the
    lowest. Columns of several are called ``reading_CHANNEL_UNIT``. Raises BadInput.
    """
    found = [match for name in names if (match := re.fullmatch(r"reading_(?:(\d{1,2})_)?([a-z]+)", name))]
    numbered = {int(match[1]): match for match in found if match[1]}
    whole = len(found) == 1 if not numbered else len(numbered) == len(found)
    if "angle_deg" not in names or not whole or any(match[2] not in PRINTED_UNITS for match in found):
        raise BadInput(
            f"{path} has the columns {', '.join(names)}: expected angle_deg and one of "
            f"{', '.join('reading_' + unit for unit in PRINTED_UNITS)}, or one for each tip as reading_1_mm"
        )
    if not numbered:
        return ReadingColumn(found[0][0], found[0][2])
    asked = next((setup["channel"] for setup in setups if setup.get("channel")), str(min(numbered)))
    if not asked.isdecimal() or int(asked) not in numbered:
        raise BadInput(
            f"{path} has readings of channels {', '.join(map(str, sorted(numbered)))} and not of {asked}: "
            "name one of them with --channel"
        )
    match = numbered[int(asked)]
    return ReadingColumn(match[0], match[2], tuple(sorted(numbered)), int(asked))


def farthest(name: str) -> float:
    """Return what no number of this column goes beyond."""
    return _FARTHEST.get(name, _FARTHEST_READING)


def check_numbers(path: Path, columns: Mapping[str, Floats]) -> None:
    """Refuse columns of different lengths, and numbers that are none of a sweep, by their place from 1."""
    if len({column.shape for column in columns.values()}) > 1 or next(iter(columns.values())).ndim != 1:
        lengths = ", ".join(f"{name} {column.shape}" for name, column in columns.items())
        raise BadInput(f"{path} has columns of different lengths ({lengths}): export it anew")
    for name, column in columns.items():
        bad = np.flatnonzero(~(np.abs(column) <= farthest(name)))
        if len(bad):
            raise BadInput(
                f"{path} row {bad[0] + 1}: {name} is {column[bad[0]]}, expected a number up to "
                f"{farthest(name):g}: correct or delete the row"
            )


def capture_from_columns(
    path: Path,
    columns: Mapping[str, Floats],
    reading: ReadingColumn,
    setup: Mapping[str, str],
    recorded: Sequence[tuple[str, str]],
    override: Mapping[str, str],
    step_mm: float = 0.0,
) -> Capture:
    """Return the capture of columns that were read from a file.

    Parameters: ``columns`` as floats; which of them is the reading; the set-up of the file, which may hold
    the step of the gauge; words of what its recording knew; what goes on top of the set-up; the step that
    holds where the file states none. Raises BadInput for fewer than three readings.
    """
    n = len(columns["angle_deg"])
    if n < FEWEST:
        raise BadInput(f"{path} holds {n} readings: at least 3 are needed, better several hundred")
    timed = "t_s" in columns
    kept = dict(setup)
    of_tips = {key: kept.pop(key) for key in list(kept) if re.fullmatch(rf"{RESOLUTION}(_\d{{1,2}})?", key)}
    stated = of_tips.get(f"{RESOLUTION}_{reading.channel}") or of_tips.get(RESOLUTION, "")
    if reading.channel is not None:
        kept["channel"] = str(reading.channel)
    samples = Samples(
        columns["t_s"] if timed else np.arange(n, dtype=np.float64),
        np.radians(_unwrapped(columns["angle_deg"], columns.get("turn"))),
        columns[reading.name] * MM_PER[reading.unit],
        next((columns[new] != 0 for new in (reading.new, "new") if new in columns), np.ones(n, bool)),
        np.zeros(n, bool),
        np.zeros(n, np.int16),
    )
    return Capture(
        samples,
        parse_setup(override, kept=kept),
        resolution_mm=parse_length(stated, f"{path}: {RESOLUTION}").mm if stated else step_mm,
        timed=timed,
        from_recording=read_recorded(recorded),
        channels_in_file=reading.channels,
    )


def _unwrapped(deg: Floats, turn: Floats | None) -> Floats:
    """Return angles that grow over turns: by the turn column, else where they fall back by over half."""
    if turn is not None:
        return np.mod(deg, 360.0) + 360.0 * turn
    if float(np.ptp(deg)) > 360.0 + 1e-9:
        return deg
    return np.degrees(np.unwrap(np.radians(deg)))
