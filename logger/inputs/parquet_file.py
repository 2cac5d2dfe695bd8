"""Samples as Parquet: the columns of a CSV in full precision, the rest under one metadata key."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from analysis.capture import Capture
from analysis.errors import BadInput
from logger.inputs.json_file import beside, capture_beside
from logger.inputs.sample_table import SampleTable, reading_column

KEY = b"fullturn"


def write_parquet(table: SampleTable, path: Path) -> None:
    """Write the columns and, as JSON in the metadata, what stands beside them; the same bytes every time."""
    arrow, parquet = _library(path)
    text = json.dumps(beside(table), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    columns = arrow.table(dict(table.columns)).replace_schema_metadata({KEY: text.encode()})
    with path.open("xb") as file:
        parquet.write_table(columns, file)


def read_parquet(path: Path, override: Mapping[str, str]) -> Capture:
    """Return the capture of such a file, also of one that another program wrote. Raises BadInput."""
    arrow, parquet = _library(path)
    if not path.is_file():
        raise BadInput(f"{path} cannot be read: no such file; name an existing file")
    try:
        table = parquet.read_table(path)
        said = json.loads((table.schema.metadata or {}).get(KEY, b"{}"))
        beside_it = said.get("setup") if isinstance(said, dict) else None
        kept = beside_it if isinstance(beside_it, dict) else {}
        reading = reading_column(path, table.column_names, override, kept)
        columns = {
            name: table[name].to_numpy().astype(np.float64) for name in reading.wanted(table.column_names)
        }
    except (arrow.ArrowException, OSError, ValueError, TypeError) as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput(f"{path} is no Parquet that can be read: {error}; export it anew") from error
    if not isinstance(said, dict):
        raise BadInput(f"{path}: its metadata fullturn is no object: export it anew")
    return capture_beside(path, columns, reading, said, override)


def _library(path: Path) -> tuple[Any, Any]:
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError as error:
        raise BadInput(
            f"{path}: Parquet needs the package pyarrow: install fullturn[lab], or export to .csv or .json"
        ) from error
    return pyarrow, pyarrow.parquet
