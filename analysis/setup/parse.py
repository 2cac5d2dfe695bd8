"""A set-up from text to checked values, as the table of fields says; all that is wrong is told at once.

What is typed now and wrong is refused; what was kept and is wrong is not used, and said.
"""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from enum import StrEnum
from typing import Any

from analysis.errors import BadInput
from analysis.setup.choices import Quantity, Surface, Turning
from analysis.setup.field_type import FieldKind, SetupField
from analysis.setup.fields import BY_KEY, FIELDS, LIMIT_KEYS, RIG_PREFIX
from analysis.setup.setup import GaugeDelay, Hole, Limit, Setup
from analysis.units import MM_PER, Length, parse_angle, parse_length, parse_number

HOW_MANY = range(1, 361)
"""Holes or screws that are counted."""


def parse_setup(typed: Mapping[str, str], kept: Mapping[str, str] | None = None) -> Setup:
    """Check a set-up and give its values their types.

    Parameters, key to value as written: ``typed`` now, by option, form, set-up file or caller; ``kept`` in a
    recording, a CSV file or a store, under what was typed. Returns the set-up. Raises BadInput that lists
    everything wrong in ``typed``: values off their list, lengths without a unit, a limit that cannot be what
    it says. The same in ``kept`` is not used, and named in ``unused``: no old file becomes unreadable.
    """
    now, before = _tidy(typed), _tidy(kept or {})
    given = {**before, **now}
    problems: list[str] = []
    unused: dict[str, str] = {}
    values: dict[str, Any] = {}
    for field in FIELDS:
        try:
            values[field.key] = parse_value(field, field.written_in(given))
        except BadInput as error:
            values[field.key] = parse_value(field, field.default)
            if field.key in now:
                problems.append(str(error))
            else:
                unused[field.key] = str(error)
    limit: Limit | None = None
    if values["limit"] is not None:
        limit_is_kept = not now.keys() & {*LIMIT_KEYS, "surface"}
        try:
            limit = replace(_limit(values, unused), kept=limit_is_kept)
        except BadInput as error:
            if limit_is_kept:
                unused["limit"] = str(error)
            else:
                problems.append(str(error))
    if problems:
        raise BadInput("; ".join(problems) + ": correct the set-up")
    # The indicator carried round the part goes against it.
    values["sense"] = int(values["sense"]) * (-1 if values["turning"] == Turning.INDICATOR else 1)
    in_setup: dict[str, Any] = {
        field.attribute: value.mm if isinstance(value, Length) else value
        for field in FIELDS
        if field.attribute and (value := values[field.key]) is not None
    }
    unknown = sorted(key for key in given if key not in BY_KEY and not key.startswith(RIG_PREFIX))
    return Setup(text=given, limit=limit, unknown=tuple(unknown), unused=unused, **in_setup)


def _tidy(text: Mapping[str, str]) -> dict[str, str]:
    tidy = {key: _spelt(key, str(value).strip()) for key, value in text.items() if key != "crc32"}
    if not tidy.get("limit_quantity"):
        tidy.pop("limit_quantity", None)
    return tidy


def parse_value(field: SetupField, written: str) -> Any:
    """Return one field's value; None for an empty one that has no default.

    Text is returned as written. Raises BadInput that names the key, what was found and what is taken.
    """
    parser = _PARSERS.get(field.kind)
    if parser is None:
        return written
    if not written and not field.default:
        return None
    return parser(field, written)


def make_limit(
    written: Length,
    quantity: str,
    *,
    surface: str = Surface.FACE,
    radius_mm: float | None = None,
    source: str = "",
) -> Limit:
    """Return a limit after checking that it is above zero and that the surface has such a quantity."""
    if quantity not in list(Quantity):
        raise BadInput(f"quantity {str(quantity)!r} is not one of {', '.join(Quantity)}")
    if written.mm <= 0:
        raise BadInput(
            f"limit {written.as_written!r} is not above zero: no part runs true to nothing; write the "
            "maker's own limit"
        )
    if quantity == Quantity.ECCENTRICITY and surface == Surface.FACE:
        raise BadInput(
            "limit_quantity eccentricity on surface face: a face has no eccentricity; use tir for a face, or "
            "surface outside or bore"
        )
    return Limit(written, Quantity(quantity), radius_mm, source)


def parse_holes(text: str, key: str = "holes") -> tuple[Hole, ...]:
    """Read holes: a count N (equally spaced, hole 1 at the mark), or degrees with optional ``:width``.

    ``key`` is the field that is named where it cannot be read.
    """
    words = text.replace(",", " ").split()
    if not words:
        return ()
    if len(words) == 1 and ":" not in words[0]:
        count = parse_number(words[0], key)
        if count not in HOW_MANY:
            raise BadInput(
                f"{key} {text!r}: the number of {key} must be from 1 to 360; write the place of a single one "
                "with its width, as 15:8"
            )
        return tuple(Hole(360.0 * k / count) for k in range(int(count)))
    holes = []
    for word in words:
        place, _, width = word.partition(":")
        hole = Hole(
            parse_angle(place, f"{key}: angle") % 360.0,
            parse_number(width, f"{key}: width") if width else 0.0,
        )
        if not 0 <= hole.width_deg < 180:
            raise BadInput(f"{key} {word!r}: a width must be from 0 to 180 degrees")
        holes.append(hole)
    return tuple(holes)


def parse_pairs(text: str, what: str) -> tuple[tuple[float, float], ...]:
    """Read ``A:B A:B ... UNIT``, both lengths, and return them in mm. Raises BadInput."""
    words = text.split()
    unit = words.pop() if words else ""
    per = MM_PER.get(unit, MM_PER.get(unit.lower()))
    if per is None:
        raise BadInput(f"{what} {text!r} does not end in a unit: write it like 0:0 1:+0.001 2:-0.002 mm")
    pairs = []
    for word in words:
        first, colon, second = word.partition(":")
        if not colon:
            raise BadInput(f"{what} {word!r} is not READING:ERROR: write it like 1:+0.001")
        pairs.append((parse_number(first, what) * per, parse_number(second, what) * per))
    return tuple(pairs)


def _limit(values: Mapping[str, Any], unused: Mapping[str, str]) -> Limit:
    """Return the limit; BadInput where it cannot be, or where what says of what it is cannot be used."""
    said = [unused[key] for key in LIMIT_KEYS if key in unused]
    if said:
        raise BadInput(f"limit {values['limit'].as_written!r} is not known to be of what: {'; '.join(said)}")
    radius = values["limit_radius"]
    return make_limit(
        values["limit"],
        values["limit_quantity"],
        surface=values["surface"],
        radius_mm=radius.mm if radius else None,
        source=values["limit_source"],
    )


def _spelt(key: str, value: str) -> str:
    spellings = BY_KEY[key].spellings if key in BY_KEY else None
    return (spellings or {}).get(value, value)


def _choice(field: SetupField, written: str) -> StrEnum:
    assert field.choices is not None
    if written not in field.words:
        raise BadInput(f"{field.key} {written!r} is not one of {', '.join(field.words)}")
    return field.choices(written)


def _length(field: SetupField, written: str) -> Length:
    length = parse_length(written, field.key)
    _above_zero(field, written, length.mm)
    return length


def _number(field: SetupField, written: str) -> float:
    value = parse_number(written.removesuffix("deg"), field.key)
    _above_zero(field, written, value)
    if field.least is not None and value < field.least:
        most = "" if field.most is None else f" (it is {field.least:g} to {field.most:g})"
        raise BadInput(f"{field.key} {written!r} is below {field.least:g}{most}")
    if field.most is not None and value > field.most:
        raise BadInput(
            f"{field.key} {written!r} is over {field.most:g} {field.unit}: at such an angle a gauge tells "
            "nothing; set it nearer"
        )
    return value


def _angle(field: SetupField, written: str) -> float:
    return parse_angle(written, field.key)


def _delay(field: SetupField, written: str) -> GaugeDelay:
    text = written.strip()
    for unit, per in (("ms", 1e-3), ("s", 1.0)):
        if text.endswith(unit):
            delay, _, limits = text.removesuffix(unit).replace("\u00b1", "+-").partition("+-")
            given = GaugeDelay(
                parse_number(delay, field.key) * per,
                (parse_number(limits, field.key) if limits else 0.0) * per / math.sqrt(3.0),
            )
            if not (0.0 <= given.delay_s <= 1.0 and 0.0 <= given.u_s <= 1.0):
                raise BadInput(
                    f"{field.key} {written!r} is not from 0 to 1000 ms: write it like {field.example}"
                )
            return given
    raise BadInput(f"{field.key} {written!r} does not end in ms: write it like {field.example}")


def _temperature(field: SetupField, written: str) -> float:
    """Return degrees Celsius."""
    found = re.fullmatch(r"([^CF\u00b0]+?)\s*\u00b0?\s*([CF])", written.strip())
    if found is None:
        raise BadInput(f"{field.key} {written!r} does not end in C or F: write it like {field.example}")
    value = parse_number(found[1], field.key)
    celsius = value if found[2] == "C" else (value - 32.0) / 1.8
    assert field.least is not None
    assert field.most is not None
    if not field.least <= celsius <= field.most:
        raise BadInput(
            f"{field.key} {written!r} is not from {field.least:g} to {field.most:g} C: write it like "
            f"{field.example}"
        )
    return celsius


def _torque(field: SetupField, written: str) -> str:
    """Check what begins with a number; ``by hand`` is as good a torque."""
    if re.match(r"\s*-", written):
        raise BadInput(f"{field.key} {written!r} is below zero: write it like {field.example}")
    return written


def _date(field: SetupField, written: str) -> date:
    try:
        if not re.fullmatch(r"\d{4}-\d\d-\d\d", written):
            raise ValueError
        return date.fromisoformat(written)
    except ValueError as error:
        raise BadInput(f"{field.key} {written!r} is no date: write it like {field.example}") from error


def _certificate(field: SetupField, written: str) -> tuple[tuple[float, float], ...]:
    """Return the points of a certificate by rising reading."""
    points = parse_pairs(written, field.key)
    if len(points) < 2 or len({reading for reading, _ in points}) != len(points):
        raise BadInput(
            f"{field.key} {written!r}: at least two different readings with their errors are needed, as "
            f"{field.example}"
        )
    return tuple(sorted(points))


def _above_zero(field: SetupField, written: str, value: float) -> None:
    if field.positive and value <= 0:
        raise BadInput(f"{field.key} {written!r} is not above zero: write it like {field.example}")


def _whole(field: SetupField, written: str) -> int:
    value = _number(field, written)
    if value not in _range(field):
        raise BadInput(f"{field.key} {written!r} is not a whole number {_from_to(field)}")
    return int(value)


def _channel(field: SetupField, written: str) -> int:
    if written not in map(str, _range(field)):
        raise BadInput(f"{field.key} {written!r} is not a number {_from_to(field)}")
    return int(written)


def _clock(field: SetupField, written: str) -> int:
    if written not in map(str, _range(field)):
        raise BadInput(f"{field.key} {written!r} is not a clock place {_from_to(field)}")
    return int(written)


def _range(field: SetupField) -> range:
    assert field.whole is not None
    return field.whole


def _from_to(field: SetupField) -> str:
    allowed = _range(field)
    return f"from {allowed[0]} to {allowed[-1]}"


def _holes(field: SetupField, written: str) -> tuple[Hole, ...]:
    return parse_holes(written, field.key)


def _screws(field: SetupField, written: str) -> tuple[float, ...]:
    return tuple(screw.deg for screw in parse_holes(written, field.key))


_PARSERS: Mapping[FieldKind, Callable[[SetupField, str], Any]] = {
    FieldKind.CHOICE: _choice,
    FieldKind.LENGTH: _length,
    FieldKind.NUMBER: _number,
    FieldKind.WHOLE: _whole,
    FieldKind.CHANNEL: _channel,
    FieldKind.CLOCK: _clock,
    FieldKind.HOLES: _holes,
    FieldKind.ANGLE: _angle,
    FieldKind.ANGLES: _screws,
    FieldKind.TORQUE: _torque,
    FieldKind.DATE: _date,
    FieldKind.PAIRS: _certificate,
    FieldKind.DELAY: _delay,
    FieldKind.TEMPERATURE: _temperature,
}
