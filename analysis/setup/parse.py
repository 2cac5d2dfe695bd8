"""A set-up from text to checked values, as the table of fields says; all that is wrong is told at once."""

from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Any

from analysis.errors import BadInput
from analysis.setup.choices import Quantity, Surface, Turning
from analysis.setup.fields import BY_KEY, FIELDS, RIG_PREFIX, FieldKind, SetupField
from analysis.setup.setup import Hole, Limit, Setup
from analysis.units import Length, parse_length, parse_number


def parse_setup(text: Mapping[str, str]) -> Setup:
    """Check a set-up and give its values their types.

    Parameters: ``text`` key to value as written. Returns the set-up. Raises BadInput that lists every
    value off its list, length without a unit, and limit that cannot be what it says.
    """
    given = {key: _spelt(key, str(value).strip()) for key, value in text.items() if key != "crc32"}
    if not given.get("limit_quantity"):
        given.pop("limit_quantity", None)
    problems: list[str] = []
    values: dict[str, Any] = {}
    for field in FIELDS:
        try:
            values[field.key] = parse_value(field, field.written_in(given))
        except BadInput as error:
            problems.append(str(error))
            values[field.key] = parse_value(field, field.default)
    limit: Limit | None = None
    if values["limit"] is not None:
        try:
            limit = _limit(values)
        except BadInput as error:
            problems.append(str(error))
    if problems:
        raise BadInput("; ".join(problems) + ": correct the set-up")
    # The indicator carried round the part goes against it.
    values["sense"] = int(values["sense"]) * (-1 if values["turning"] == Turning.INDICATOR else 1)
    typed: dict[str, Any] = {
        field.attribute: value.mm if isinstance(value, Length) else value
        for field in FIELDS
        if field.attribute and (value := values[field.key]) is not None
    }
    unknown = sorted(key for key in given if key not in BY_KEY and not key.startswith(RIG_PREFIX))
    return Setup(text=given, limit=limit, unknown=tuple(unknown), **typed)


def parse_value(field: SetupField, written: str) -> Any:
    """Return one field's value; None for an empty one that has no default.

    Text, angles, dates and pairs are returned as written. Raises BadInput that names the key, what was
    found and what is taken.
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
    if len(words) == 1 and words[0].isdecimal():
        count = int(words[0])
        if not 1 <= count <= 360:
            raise BadInput(f"{key} {text!r}: the number of {key} must be from 1 to 360")
        return tuple(Hole(360.0 * k / count) for k in range(count))
    holes = []
    for word in words:
        place, _, width = word.partition(":")
        hole = Hole(
            parse_number(place, f"{key}: angle") % 360.0,
            parse_number(width, f"{key}: width") if width else 0.0,
        )
        if not 0 <= hole.width_deg < 180:
            raise BadInput(f"{key} {word!r}: a width must be from 0 to 180 degrees")
        holes.append(hole)
    return tuple(holes)


def _limit(values: Mapping[str, Any]) -> Limit:
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
    return value


def _above_zero(field: SetupField, written: str, value: float) -> None:
    if field.positive and value <= 0:
        raise BadInput(f"{field.key} {written!r} is not above zero")


def _whole(field: SetupField, written: str) -> int:
    value = _number(field, written)
    if value not in _range(field):
        raise BadInput(f"{field.key} {written!r} is not a whole number {_from_to(field)}")
    return int(value)


def _channel(field: SetupField, written: str) -> int:
    if not written.isdecimal() or int(written) not in _range(field):
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


_PARSERS: Mapping[FieldKind, Callable[[SetupField, str], Any]] = {
    FieldKind.CHOICE: _choice,
    FieldKind.LENGTH: _length,
    FieldKind.NUMBER: _number,
    FieldKind.WHOLE: _whole,
    FieldKind.CHANNEL: _channel,
    FieldKind.CLOCK: _clock,
    FieldKind.HOLES: _holes,
}
