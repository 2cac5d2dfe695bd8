"""Readings written down from a dial, as a person types them: places, angles, last written digit."""

import re
from dataclasses import dataclass

import numpy as np

from analysis.capture.samples import Floats
from analysis.errors import BadInput
from analysis.units import MM_PER, parse_angle, parse_number

MOST_PLACES = 36
"""Up to so many places a set counts as typed or stepped."""


@dataclass(frozen=True)
class TypedSet:
    """Readings at clock places."""

    deg: Floats
    """Angles in degrees, shape (n,), as typed."""
    reading_mm: Floats
    """Readings in mm, shape (n,)."""
    digit_mm: float
    """Size of the last written digit, mm."""
    closing_mm: float | None
    """Reading back at the first place less the first reading, where it was typed again (as 360)."""


def parse_typed(text: str) -> TypedSet:
    """Read ``0:0 90:+3 180:-2 270:+3 thou``: angle and reading of each place, then the unit once.

    Raises BadInput for anything else, for fewer than three places, and for a place typed twice.
    """
    words = text.split()
    if len(words) < 2 or ":" in words[-1]:
        raise BadInput(
            f"typed readings {text!r} do not end in a unit: write them like 0:0 90:+3 180:-2 270:+3 thou"
        )
    unit = words.pop()
    per = MM_PER.get(unit, MM_PER.get(unit.lower()))
    if per is None:
        raise BadInput(
            f"typed readings end in {unit!r}, which is no unit of length known here: use mm, um, in or thou"
        )
    deg: list[float] = []
    readings, digits = [], []
    for word in words:
        place, colon, reading = word.partition(":")
        if not colon:
            raise BadInput(f"typed reading {word!r} is not ANGLE:READING: write it like 90:+3")
        deg.append(_typed_angle(place, deg))
        readings.append(parse_number(reading, "typed reading") * per)
        digits.append(_last_digit(reading) * per)
    closing = None
    if len(deg) > 1 and abs(deg[-1] - deg[0] - 360.0) < 1e-9:
        closing = readings[-1] - readings[0]
        deg.pop(), readings.pop()
    around = np.mod(deg, 360.0)
    if len(np.unique(around)) != len(around):
        raise BadInput(
            f"typed readings {text!r} hold one place twice: type each place once (360 closes the turn)"
        )
    if len(deg) > 2 and min(deg) >= 0 and max(deg) <= 12:
        hours = " ".join(f"{hour % 12 * 30:g}" for hour in deg)
        raise BadInput(
            f"typed places {' '.join(f'{hour:g}' for hour in deg)} look like hours of a clock: "
            f"write degrees, as {hours}"
        )
    if len(deg) < 3:
        raise BadInput(f"{len(deg)} typed places: at least 3 are needed, better 8 or 12")
    return TypedSet(np.array(deg), np.array(readings), min(digits), closing)


def _typed_angle(text: str, before: list[float]) -> float:
    """Read the angle of a place; a turn past the first is the first again."""
    if before and parse_number(text, "typed angle") == before[0] + 360.0:
        return before[0] + 360.0
    return parse_angle(text, "typed angle")


def _last_digit(number: str) -> float:
    mantissa, _, exponent = number.strip().lower().partition("e")
    decimals = len(re.split(r"[.,]", mantissa)[1]) if re.search(r"[.,]", mantissa) else 0
    return float(10.0 ** (int(exponent or 0) - decimals))
