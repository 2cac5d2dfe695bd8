"""Rows of the store as columns by name, for frames; set-ups and results stay in the rows."""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from analysis.store.quantities import stored_number
from analysis.store.rows import HistoryRow, StoredSweep

_WHOLE_TRUTH = ("setup", "result", "result_sha256")
"""Mappings, which are no cells."""


def turn_columns(rows: Sequence[HistoryRow]) -> dict[str, list[Any]]:
    """Return one column a field."""
    return _columns(HistoryRow, rows)


def recording_columns(sweeps: Sequence[StoredSweep]) -> dict[str, list[Any]]:
    """Return one column a field, ``started`` as ``measured``, and of each result a number and its interval.

    ``value_mm`` is what was held against ``limit_mm`` with all lines of the budget, else the TIR of the sweep
    alone; None where it is not known.
    """
    found = _columns(StoredSweep, sweeps)
    found["measured"] = found.pop("started")
    numbers = [stored_number(one) for one in sweeps]
    for name in ("quantity", "value_mm", "low_mm", "high_mm", "limit_mm"):
        found[name] = [getattr(number, name, None) for number in numbers]
    pooled = [(one.result or {}).get("pooled") or {} for one in sweeps]
    found["high_point_deg"] = [each.get("high_point_deg") for each in pooled]
    return found


def _columns(kind: type, rows: Sequence[Any]) -> dict[str, list[Any]]:
    names = [one.name for one in fields(kind) if one.name not in _WHOLE_TRUTH]
    return {name: [getattr(row, name) for row in rows] for name in names}
