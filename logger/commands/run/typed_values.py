"""Values of options that enter something in the register, read as a set-up would. Each raises BadInput."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from analysis import store
from analysis.errors import BadInput
from analysis.setup import BY_KEY, parse_value


def _like(key: str, option: str, text: str | None) -> Any:
    """Return a value as the set-up's field of this key reads it; None for what was not typed."""
    if text is None:
        return None
    if not text.strip():
        raise BadInput(f"{option} is empty: write it like {BY_KEY[key].example}, or leave it out")
    return parse_value(replace(BY_KEY[key], key=option), text.strip())


def typed_date(option: str, text: str | None) -> str | None:
    """Return a day, ISO 8601."""
    found = _like("gauge_due", option, text)
    return None if found is None else str(found.isoformat())


def typed_length_mm(option: str, text: str | None) -> float | None:
    """Return a length above zero, mm."""
    found = _like("gauge_error", option, text)
    return None if found is None else float(found.mm)


def typed_table_mm(option: str, text: str | None) -> tuple[tuple[float, float], ...]:
    """Return the points of a certificate, reading and error."""
    return tuple(_like("gauge_table", option, text) or ())


def typed_text(what: str, text: str | None) -> str | None:
    """Return a text that says something; None for what was not typed."""
    if text is None:
        return None
    if not text.strip():
        raise BadInput(f"{what} is empty: write it, or leave it out")
    return text.strip()


def typed_name(what: str, text: str) -> str:
    """Return a number or name that has to be there."""
    if not text.strip():
        raise BadInput(f"{what} is empty: write it as it stands on the thing itself")
    return text.strip()


def typed_initials(option: str, text: str | None) -> str | None:
    """Return initials; a name is refused: who a person is stands on paper."""
    given = typed_text(option, text)
    if given is None:
        return None
    found = store.initials(given)
    if found != given.replace(".", "").upper():
        raise BadInput(f"{option} {given!r} is a name: write initials, as {found}")
    return found


def now_utc() -> str:
    """Return this moment, ISO 8601, UTC."""
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
