"""Rows of the store as columns by name, for frames; set-ups and results stay in the rows."""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any

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
    numbers = [_number(one) for one in sweeps]
    names = ("quantity", "value_mm", "low_mm", "high_mm", "limit_mm", "high_point_deg")
    return {**found, **{name: [one[k] for one in numbers] for k, name in enumerate(names)}}


def _columns(kind: type, rows: Sequence[Any]) -> dict[str, list[Any]]:
    names = [one.name for one in fields(kind) if one.name not in _WHOLE_TRUTH]
    return {name: [getattr(row, name) for row in rows] for name in names}


def _number(sweep: StoredSweep) -> tuple[Any, ...]:
    result = sweep.result or {}
    pooled, decision = result.get("pooled") or {}, result.get("decision") or {}
    at = pooled.get("high_point_deg")
    if decision.get("value_mm") is not None:
        low, high = decision.get("interval_mm") or (None, None)
        return decision["quantity"], decision["value_mm"], low, high, decision.get("limit_mm"), at
    low, high = pooled.get("tir_fit_95_mm") or (None, None)
    return "tir" if pooled else None, pooled.get("tir_fit_mm"), low, high, None, at
