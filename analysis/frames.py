"""Columns as a frame of pandas or polars, or a table of arrow: extras, loaded when they are asked for."""

from collections.abc import Mapping
from importlib import import_module
from typing import Any

from analysis.errors import BadInput

KINDS = ("pandas", "polars", "arrow")
_MODULES = {"pandas": "pandas", "polars": "polars", "arrow": "pyarrow"}
_EXTRAS = {"pandas": "frames", "polars": "frames", "arrow": "lab"}


def frame(columns: Mapping[str, Any], kind: str = "pandas") -> Any:
    """Return columns of one length as ``pandas`` or ``polars`` DataFrame, or as ``arrow`` Table.

    Raises BadInput for another kind, and where the library is not installed.
    """
    if kind not in KINDS:
        raise BadInput(f"frame {kind!r} is not one of {', '.join(KINDS)}")
    name = _MODULES[kind]
    try:
        library = import_module(name)
    except ImportError as error:
        raise BadInput(
            f"{name} is not installed: pip install 'fullturn[{_EXTRAS[kind]}]', or name another kind of frame"
        ) from error
    if kind == "arrow":
        return library.table(dict(columns))
    return library.DataFrame(dict(columns))
