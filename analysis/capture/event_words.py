"""How events are written: words and keys in a recording, values in the program.

A recording holds an event as a JSON object whose ``event`` is its word, with one key a field. A field with a
default is written only where it differs from it.
"""

import sys
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, fields
from enum import Enum
from types import NoneType
from typing import Any, get_args, get_origin

from analysis.capture.events import KEY, REGISTRY, WORD, Event


@dataclass(frozen=True)
class UnknownEvent(Event):
    """An event of another sender, or one that lacks a field: kept as it was written, without a meaning."""

    written: Mapping[str, object]


def decode(written: Mapping[str, object]) -> Event:
    """Return what was written as a value. Never raises: what fits no kind is kept as an UnknownEvent."""
    for kind in REGISTRY.get(str(written.get(WORD)), ()):
        try:
            return kind(**dict(_given(kind, written)))
        except (KeyError, TypeError, ValueError):
            continue
    return UnknownEvent(dict(written))


def encode(event: Event) -> dict[str, object]:
    """Return the words of an event, fit for JSON: ``decode(encode(event)) == event`` for every kind."""
    if isinstance(event, UnknownEvent):
        return dict(event.written)
    written: dict[str, object] = {WORD: event.KIND}
    for one in fields(event):
        value = getattr(event, one.name)
        if value != one.default:
            written[key_of(one)] = _plain(value)
    return written


def key_of(one: "Field[Any]") -> str:
    """Return the key under which a field is written."""
    return str(one.metadata.get(KEY, one.name))


def _given(kind: type[Event], written: Mapping[str, object]) -> Iterator[tuple[str, object]]:
    """Yield name and value of every field; KeyError for one that is missing, ValueError for another type."""
    for one in fields(kind):
        if key_of(one) in written or one.default is MISSING:
            yield one.name, _value(one.type, written[key_of(one)])


def _value(wanted: Any, written: object) -> object:
    """Return what was written as a value of this type, numbers as they are; ValueError where it is none."""
    if isinstance(wanted, type) and issubclass(wanted, Enum):
        return wanted(written)
    if get_origin(wanted) is tuple:
        if isinstance(written, list) and len(written) == len(get_args(wanted)):
            return tuple(_value(one, value) for one, value in zip(get_args(wanted), written, strict=True))
    elif len(choices := get_args(wanted)) == 2 and choices[1] is NoneType:
        return None if written is None else _value(choices[0], written)
    elif wanted is float:
        # An integer is a number too and stays one; no measurement is beyond a float, or not a number.
        if type(written) in (int, float) and abs(written) <= sys.float_info.max:  # type: ignore[arg-type]
            return written
    elif type(written) is wanted:
        return written
    raise ValueError(f"{written!r} is no {wanted}")


def _plain(value: object) -> object:
    if isinstance(value, Enum):
        return value.value
    return list(value) if isinstance(value, tuple) else value
