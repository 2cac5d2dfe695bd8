"""Lengths between people and the program: the strict parser, and numbers back in both systems.

Inside, everything is millimetres. A plain ``NUMBER UNIT`` is read by the small table here, which a test
holds equal to pint; a quantity of pint that a caller hands over converts itself.
"""

import math
import re
from dataclasses import dataclass
from typing import Any

from analysis.errors import BadInput

MM_PER = {
    "mm": 1.0,
    "um": 1e-3,
    "µm": 1e-3,
    "μm": 1e-3,
    "in": 25.4,
    "inch": 25.4,
    "inches": 25.4,
    '"': 25.4,
    "thou": 0.0254,
    "m": 1000.0,
    "cm": 10.0,
    "nm": 1e-6,
}
"""Millimetres per unit a person may type."""

LONGEST_MM = 1e6
"""No length on a machine is longer: a number beyond it is a slip of the keys."""

PRINTED_UNITS = ("mm", "um", "in", "thou")
"""The units results can be printed in (``--units``)."""

_DECIMALS = {"mm": 4, "um": 1, "in": 5, "thou": 2}
_AMBIGUOUS = {
    "tenth", "tenths", "hundredth", "hundredths", "mil", "mils",
}  # fmt: skip
_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([^\d\s.,+-][^\s]*)?\s*")
_THOUSANDS = re.compile(r"\d,\d{3}(?:[.,]|,\d{3})|\d\.\d{3},|\d\s+\d|(?<![\d.,])[1-9]\d{0,2},\d{3}(?![\d.,])")
"""Two separators, a space between digits, or a comma before exactly three digits: 1,000 um is 1000 or 1."""


@dataclass(frozen=True, slots=True)
class Length:
    """A length as a person wrote it."""

    mm: float
    """The value in millimetres."""
    unit: str
    """The unit as written."""
    as_written: str
    """The whole text as written, stripped."""


def parse_number(text: str, what: str = "number") -> float:
    """Read one finite decimal number with a point or a comma; BadInput for anything else."""
    clean = text.strip()
    if not re.fullmatch(_NUMBER, clean):
        raise BadInput(f"{what} {text!r} is not a number: write one like 0.05 (or 0,05)")
    value = float(clean.replace(",", "."))
    if not math.isfinite(value):
        raise BadInput(f"{what} {text!r} is not a finite number: write one like 0.05")
    return value


def parse_length(text: str, what: str = "length") -> Length:
    """Read one length such as ``0.003in``, ``3 thou``, ``0,05 mm``: one number, one unit, nothing left over.

    Raises BadInput where the unit is missing, ambiguous or no length, or where a comma could be a
    thousands separator (``1,000.5``, ``1,000``; a leading zero, ``0,050``, leaves no doubt).
    """
    stripped = text.strip()
    if _THOUSANDS.search(stripped):
        raise BadInput(
            f"{what} {text!r} looks like a number with thousands separators: write it without, as 1000.5 mm"
        )
    match = _LENGTH.fullmatch(stripped)
    if match is None:
        for word in re.findall(r"[A-Za-z]+", stripped):
            if word.lower() in _AMBIGUOUS:
                raise _ambiguous(what, text, word)
        raise BadInput(f"{what} {text!r} is not one number and one unit: write it like 0.05 mm or 3 thou")
    number, unit = match.groups()
    if unit is None:
        raise BadInput(
            f"{what} {text!r} has no unit: write it with one, as {stripped} mm, {stripped} in or "
            f"{stripped} thou"
        )
    if unit.lower() in _AMBIGUOUS:
        raise _ambiguous(what, text, unit)
    per = MM_PER.get(unit, MM_PER.get(unit.lower()))
    if per is None:
        raise BadInput(f"{what} {text!r}: {unit!r} is no unit of length known here: use mm, um, in or thou")
    value = float(number.replace(",", ".")) * per
    if not math.isfinite(value):
        raise BadInput(f"{what} {text!r} is not a finite number: write one like 0.05 mm")
    if abs(value) > LONGEST_MM:
        raise BadInput(f"{what} {text!r} is longer than a kilometre: correct the number or its unit")
    return Length(value, unit, stripped)


def _ambiguous(what: str, text: str, word: str) -> BadInput:
    return BadInput(
        f"{what} {text!r}: a {word!r} is 0.0001 in in one shop and 0.1 mm in another, and a mil is a thou "
        "here and a millimetre there: write the number with in, thou or mm"
    )


def parse_angle(text: str, what: str = "angle") -> float:
    """Read one angle, 0 to 360 degrees, with or without ``deg``. Raises BadInput for anything else."""
    value = parse_number(text.strip().removesuffix("deg"), what)
    if not 0.0 <= value <= 360.0:
        raise BadInput(
            f"{what} {text!r} is not from 0 to 360 degrees: write the same place as {value % 360.0:g}, or "
            "correct it"
        )
    return value


def to_mm(value: Any, what: str = "length") -> Any:
    """Return millimetres from a pint quantity, or the value unchanged where it is already a plain number.

    Raises BadInput for a quantity that is no length.
    """
    return _magnitude(value, what, "millimeter", "a length", "mm, in or another unit of length")


def to_rad(value: Any, what: str = "angle") -> Any:
    """Return radians from a pint quantity, or the value unchanged where it is already a plain number.

    Raises BadInput for a quantity that is no angle: a bare number of pint would be taken for radians.
    """
    return _magnitude(value, what, "radian", "an angle", "rad, deg or another unit of angle")


def to_s(value: Any, what: str = "time") -> Any:
    """Return seconds from a pint quantity, or the value unchanged where it is already a plain number.

    Raises BadInput for a quantity that is no time.
    """
    return _magnitude(value, what, "second", "a time", "s, ms or another unit of time")


def _magnitude(value: Any, what: str, unit: str, kind: str, expected: str) -> Any:
    if not hasattr(value, "to") or not hasattr(value, "magnitude"):
        return value
    if not value.is_compatible_with(unit) or str(value.units) in ("", "dimensionless"):
        raise BadInput(f"{what} {value} is not {kind}: hand over {expected}")
    return value.to(unit).magnitude


def format_length(mm: float, unit: str = "mm", decimals: int | None = None) -> str:
    """Write a length in one unit: ``0.1420 mm``."""
    places = _DECIMALS[unit] if decimals is None else decimals
    text = f"{mm / MM_PER[unit]:.{places}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return f"{text} {unit}"


def format_both(mm: float, unit: str = "mm") -> str:
    """Write a length in the wanted unit and, in brackets, in the other system: ``0.142 mm (5.6 thou)``."""
    metric = unit in ("mm", "um")
    first = format_length(mm, unit, {"mm": 3, "um": 0, "in": 4, "thou": 1}[unit])
    other = "thou" if metric else "mm"
    return f"{first} ({format_length(mm, other, 1 if metric else 3)})"


def format_arc(low_deg: float, high_deg: float, decimals: int = 0) -> str:
    """Return an arc from its lower to its upper end, both from 0 to 360 as they are read off a part."""
    low, high = (round(end, decimals) % 360.0 for end in (low_deg, high_deg))
    return f"{low:.{decimals}f} to {high:.{decimals}f}"


def format_count(number: int, of: str) -> str:
    """Return a number of things in words: ``1 turn``, ``3 turns``."""
    return f"{number} {of}" if number == 1 else f"{number} {of}s"
