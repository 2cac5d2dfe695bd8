"""A rig file: how a gauge that is no board of ours says its readings, and where the angle comes from.

Read from TOML, checked, and kept flat in the set-up (keys ``rig.line.pattern`` and so on), so that a
recording can be read again without the file.
"""

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from analysis.errors import BadInput
from analysis.setup import RIG_PREFIX, parse_value
from analysis.units import MM_PER
from logger.decoding.pattern_work import LONGEST, TooManyWays, longest_line
from logger.decoding.rig_fields import RIG_BY_KEY, SECOND_PORT, DecimalSign, LineCheck, Parity, TimeUnit

GROUPS = ("reading", "count", "time", "unit", "check")


@dataclass(frozen=True)
class LineRule:
    """What is on a line."""

    pattern: re.Pattern[str]
    """With named groups out of reading, count, time, unit, check."""
    unit: str = "mm"
    """Of the reading, where no group says it."""
    decimal: DecimalSign = DecimalSign.POINT
    time_unit: TimeUnit = TimeUnit.MICROSECONDS
    check: LineCheck | None = None
    """How the check group is made; None = not at all."""
    index: re.Pattern[str] | None = None
    """A line that tells the passing of the index mark, with an optional time group."""
    longest: int = LONGEST
    """Bytes of the longest line that the patterns are sure to be done with."""


@dataclass(frozen=True)
class PortRule:
    """How a port is opened."""

    baud: int = 9600
    parity: Parity = Parity.NONE
    newline: str = "\n"
    send: str = ""
    """Sent once after opening, for devices that want to be asked."""


@dataclass(frozen=True)
class Rig:
    """One port's lines, and a second port's where there is one."""

    line: LineRule
    port: PortRule
    counts_per_turn: float = 0.0
    second: "Rig | None" = None
    text: tuple[tuple[str, str], ...] = ()
    """Flat, as kept in a set-up."""


def read_rig(path: str) -> Rig:
    """Read a rig file; raises BadInput naming what is wrong in it."""
    flat: dict[str, str] = {}
    try:
        with open(path, "rb") as file:
            _flatten(tomllib.load(file), RIG_PREFIX, flat)
    except (ValueError, RecursionError) as error:  # of the reader of TOML, and of numbers and depths in it
        raise BadInput(f"--rig {path} is no TOML: {error}; correct it") from error
    except OSError as error:
        raise BadInput(f"--rig {path}: {error.strerror}; name an existing file") from error
    rig = rig_of_setup(flat)
    if rig is None:
        raise BadInput(
            f"--rig {path} has no [line] pattern: say what is on a line, as pattern = '(?P<reading>...)'"
        )
    return rig


def _flatten(tree: Mapping[str, object], prefix: str, into: dict[str, str]) -> None:
    for key, value in tree.items():
        if isinstance(value, Mapping):
            _flatten(value, f"{prefix}{key}.", into)
        else:
            into[prefix + key] = str(value)


def rig_of_setup(setup: Mapping[str, str]) -> Rig | None:
    """Return the rig that a set-up carries, None where it carries none. Raises BadInput for a faulty one."""
    mine = {key.removeprefix(RIG_PREFIX): value for key, value in setup.items() if key.startswith(RIG_PREFIX)}
    if not mine:
        return None
    second = {
        key.removeprefix(SECOND_PORT): mine.pop(key) for key in list(mine) if key.startswith(SECOND_PORT)
    }
    rig = _rig(mine, "rig", angle_too=not second)
    if not second:
        return rig
    other = _rig(second, "rig second port", angle_too=True)
    flat = rig.text + tuple(
        (f"{RIG_PREFIX}{SECOND_PORT}{key}", value) for key, value in sorted(second.items())
    )
    return Rig(rig.line, rig.port, other.counts_per_turn, other, flat)


def _rig(flat: Mapping[str, str], where: str, *, angle_too: bool) -> Rig:
    problems: list[str] = []
    for key in flat:
        if key not in RIG_BY_KEY:
            problems.append(f"{key} is no key of a rig ({', '.join(RIG_BY_KEY)})")
    pattern = _pattern(flat.get("line.pattern", ""), f"{where}: line.pattern", problems)
    index = flat.get("line.index") or flat.get("encoder.index")
    index_pattern = _pattern(index, f"{where}: line.index", problems) if index else None
    if pattern is not None:
        named = set(pattern.groupindex)
        if not named & {"reading", "count"}:
            problems.append("line.pattern has neither a group (?P<reading>...) nor (?P<count>...)")
        if strange := named - set(GROUPS):
            problems.append(f"line.pattern has the unknown group {', '.join(sorted(strange))}")
    unit = RIG_BY_KEY["line.unit"].written_in(flat)
    if unit not in MM_PER:
        problems.append(f"line.unit {unit!r} is no unit of length: use mm, um, in or thou")
    time_unit = _value(flat, "line.time_unit", problems)
    check = _value(flat, "line.check", problems)
    decimal = _value(flat, "line.decimal", problems)
    parity = _value(flat, "port.parity", problems)
    counts = _value(flat, "encoder.counts_per_turn", problems) or 0.0
    if "encoder.counts_per_turn" in flat and counts <= 0:
        problems.append("encoder.counts_per_turn must be above zero: leave it out where there is no encoder")
    elif angle_too and pattern is not None and "count" in pattern.groupindex and counts <= 0:
        problems.append("line.pattern has counts but encoder.counts_per_turn is missing")
    baud = _value(flat, "port.baud", problems)
    if not (1 <= baud < math.inf) or baud != int(baud):
        problems.append(f"port.baud {flat.get('port.baud')!r} is no speed of a port")
    newline = RIG_BY_KEY["port.newline"].written_in(flat)
    if not newline:
        problems.append("port.newline is empty: say what ends a line, such as '\\n'")
    if problems or pattern is None:
        raise BadInput(
            f"{where}: " + "; ".join(problems or ["line.pattern is missing"]) + ": correct the rig file"
        )
    return Rig(
        LineRule(
            pattern,
            unit,
            decimal,
            time_unit,
            check,
            index_pattern,
            min(longest_line(one) for one in (pattern, index_pattern) if one is not None),
        ),
        PortRule(int(baud), parity, newline, flat.get("port.send", "")),
        counts,
        None,
        tuple((RIG_PREFIX + key, value) for key, value in sorted(flat.items())),
    )


def _pattern(text: str, where: str, problems: list[str]) -> re.Pattern[str] | None:
    if not text:
        problems.append(f"{where.rpartition(': ')[2]} is missing")
        return None
    key = where.rpartition(": ")[2]
    try:
        pattern = re.compile(text)
        longest_line(pattern)
    except (re.error, OverflowError, RecursionError) as error:
        problems.append(f"{key} is no regular expression ({error})")
    except TooManyWays as error:
        problems.append(f"{key} {text[:60]!r} may never come to an end with a line: {error}")
    else:
        return pattern
    return None


def _value(flat: Mapping[str, str], key: str, problems: list[str]) -> Any:
    """Return a value as its field says; its default, and the reason in ``problems``, where it will not do."""
    field = RIG_BY_KEY[key]
    try:
        return parse_value(field, field.written_in(flat))
    except BadInput as error:
        problems.append(str(error))
        return parse_value(field, field.default)
