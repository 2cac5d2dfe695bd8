"""The store of results: what was recorded, every turn kept, and what was concluded, in one database.

The only place that imports the database library. That takes half a second, so the row classes and the
version come at once and the rest when first named.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from analysis.store.rows import HistoryRow, RecordingRow, StoredTurn, TurnRow
from analysis.store.version import SCHEMA_VERSION

if TYPE_CHECKING:
    from analysis.store.opening import open_store
    from analysis.store.queries import Store

__all__ = ["SCHEMA_VERSION", "HistoryRow", "RecordingRow", "Store", "StoredTurn", "TurnRow", "open_store"]

_HOME = {"Store": "analysis.store.queries", "open_store": "analysis.store.opening"}


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(_HOME[name]), name)
    raise AttributeError(f"module 'analysis.store' has no attribute {name!r}")
