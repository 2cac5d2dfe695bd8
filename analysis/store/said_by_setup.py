"""What a recording's set-up says of part, job, gauge, operator and conditions, as columns of the store.

Read by the set-up's own parser: what is kept there and wrong is as if it were not there.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from analysis.setup import Setup, parse_setup
from analysis.store.plain import plain_text

INDICATOR = "indicator"
MOST_INITIALS = 4


@dataclass(frozen=True)
class SaidBySetup:
    """Columns that come from one set-up, by table; None where it names no such thing."""

    recording: Mapping[str, Any]
    part: Mapping[str, Any] | None
    job: Mapping[str, Any] | None
    operator: str | None
    gauge: Mapping[str, Any] | None
    """Without ``added``, ``who`` and ``source``."""
    celsius: float | None
    """Temperature of the part."""
    limit_source: str | None


def said_by_setup(text: Mapping[str, str], part: str, job: str) -> SaidBySetup:
    """Return what a set-up as written says; ``part`` and ``job`` as the recording itself has them."""
    setup = parse_setup({}, text)
    operator = initials(text.get("operator", "")) or None
    return SaidBySetup(
        recording={
            "operator": operator,
            "bench": _or_none(text.get("bench")),
            "place": _or_none(text.get("place")),
            "channel": str(setup.channel),
        },
        part={"number": part, "serial": plain_text(setup.serial)} if part else None,
        job={"number": job} if job else None,
        operator=operator,
        gauge=_gauge(setup),
        celsius=setup.temperature_c,
        limit_source=_or_none(text.get("limit_source")),
    )


def _gauge(setup: Setup) -> dict[str, Any] | None:
    name = setup.text.get("gauge_id", "").strip()
    if not name:
        return None
    known = setup.gauge_error_mm is not None
    return {
        "id": plain_text(name),
        "kind": INDICATOR,
        "certificate": _or_none(setup.text.get("gauge_certificate")),
        "due": setup.gauge_due.isoformat() if setup.gauge_due else None,
        "error_mm": setup.gauge_error_mm,
        "error_means": setup.error_means.value if known else None,
        "table_json": json.dumps(setup.gauge_table_mm) if setup.gauge_table_mm else None,
    }


def initials(name: str) -> str:
    """Return the initials of an operator: what is short is initials already, of a name the first letters.

    The store asks who measured and keeps no name; as written it stands in the recording's own set-up.
    """
    words = plain_text(name).replace(".", " ").split()
    if len(words) == 1 and len(words[0]) <= MOST_INITIALS:
        return words[0].upper()
    return "".join(word[0] for word in words).upper()


def _or_none(text: str | None) -> str | None:
    return plain_text(text.strip()) or None if text else None
