"""The keys of a set-up as a person types them: those of the set-up itself and those of a rig."""

from dataclasses import replace
from difflib import get_close_matches

from analysis.errors import BadInput
from analysis.setup import BY_KEY, FIELDS, RIG_PREFIX, SetupField
from logger.decoding import RIG_FIELDS, RIG_KEYS

CHECKSUM = "crc32"
"""Stands in the set-up of a recording beside its fields, and may be typed with them."""


def typed_fields() -> tuple[SetupField, ...]:
    """Return every field that can be typed; those of a second port, ``rig.second.``, are not repeated."""
    return (*FIELDS, *(replace(field, key=f"{RIG_PREFIX}{field.key}") for field in RIG_FIELDS))


def refuse_unknown(key: str, typed: str) -> None:
    """Raise BadInput, with the nearest key, for one that no set-up has; ``typed`` is how it was typed.

    What stands in a recording, a CSV file or a store is not asked here: there it is kept, with a note.
    """
    known = (*BY_KEY, *RIG_KEYS, CHECKSUM)
    if key in known:
        return
    nearest = get_close_matches(key, known, n=1)
    guess = f"; did you mean {nearest[0]}?" if nearest else ";"
    raise BadInput(f"{typed}: no such set-up key{guess} `fullturn settings --fields` lists them")


def row_of(field: SetupField) -> tuple[str, str, str, str, str]:
    """Return key, default, unit, example and what it is, as a listing shows them."""
    words = f" ({', '.join(field.words)})" if field.words else ""
    return field.key, _visible(field.default), field.unit, _visible(field.example), field.help + words


def _visible(text: str) -> str:
    return text.replace("\r", "\\r").replace("\n", "\\n")
