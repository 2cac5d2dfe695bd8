"""Rows of the register found, or added where they are not there yet, inside the caller's transaction."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from analysis.store import queries
from analysis.store.plain import plain_text
from analysis.store.schema_of_register import gauges, jobs, operators, parts

REGISTER, SET_UP = "register", "set-up"
"""Where a row of a gauge comes from: typed as a gauge, or known only from a recording that names it."""
COMPARED = ("certificate", "due", "error_mm", "error_means", "table_json")
"""In these a set-up tells one calibration of a gauge from another."""


def part_id_of(connection: Connection, part: Mapping[str, Any] | None) -> int | None:
    """Return the number of a part, None for none."""
    if part is None:
        return None
    found = connection.execute(queries.part_row(part["number"], part["serial"])).first()
    return int(found.part_id) if found is not None else added(connection, parts, part)


def job_id_of(connection: Connection, job: Mapping[str, Any] | None) -> int | None:
    """Return the number of a job, None for none."""
    if job is None:
        return None
    found = connection.execute(queries.job_row(job["number"])).first()
    return int(found.job_id) if found is not None else added(connection, jobs, job)


def operator_known(connection: Connection, initials: str | None) -> None:
    """Have an operator among those that are known; what each may do is typed elsewhere."""
    if initials is None:
        return
    if connection.execute(select(operators).where(operators.c.initials == initials)).first() is None:
        connection.execute(insert(operators).values(initials=initials))


def gauge_used(
    connection: Connection, gauge: Mapping[str, Any] | None, when: str, who: str | None
) -> int | None:
    """Return the row of a gauge whose values a recording was made with; the newest that agrees.

    A recording says itself what held when it was made. Where no row says the same, one is added that tells
    of a set-up: it is no entry of the register.
    """
    if gauge is None:
        return None
    for row in connection.execute(queries.gauge_rows(gauge["id"], gauge["kind"])):
        if all(getattr(row, name) == gauge[name] for name in COMPARED):
            return int(row.gauge_id)
    return added(connection, gauges, {**gauge, "added": when, "who": who, "source": SET_UP})


def added(connection: Connection, table: Table, values: Mapping[str, Any]) -> int:
    """Add a row and return its number."""
    key = connection.execute(insert(table).values(_plain(values))).inserted_primary_key
    assert key is not None  # a single insert always has one
    return int(key[0])


def _plain(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: plain_text(value) if isinstance(value, str) else value for name, value in values.items()}
