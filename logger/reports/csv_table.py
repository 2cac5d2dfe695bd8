"""Rows as CSV for spreadsheets: UTF-8, a point for decimals; no entered text can be taken for a formula."""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

_FORMULA = re.compile(r"[=+\-@\t\r]")


def csv_table(names: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> str:
    """Return the columns named, of every row; what is not known is empty, a number is never quoted."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(names)
    for row in rows:
        writer.writerow([_cell(row[name]) for name in names])
    return out.getvalue()


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return f"'{value}" if _FORMULA.match(value) else value
    return "" if value is None else repr(value)
