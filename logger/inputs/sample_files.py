"""Files by the end of their name: CSV, JSON, Parquet, each written and read back; and a notebook."""

import json
from collections.abc import Callable, Mapping
from pathlib import Path

from analysis.capture import Capture
from analysis.errors import BadInput
from logger.inputs.csv_file import read_csv
from logger.inputs.csv_writing import write_csv
from logger.inputs.json_file import beside, beside_csv, read_json, write_json
from logger.inputs.parquet_file import read_parquet, write_parquet
from logger.inputs.sample_table import SampleTable

_READERS: Mapping[str, Callable[[Path, Mapping[str, str]], Capture]] = {
    ".csv": read_csv,
    ".txt": read_csv,
    ".json": read_json,
    ".parquet": read_parquet,
}
FORMATS: Mapping[str, str] = {
    "csv": ".csv",
    "csv-semicolons": ".csv",
    "json": ".json",
    "parquet": ".parquet",
}
"""Formats that are written and read, and how a file of each is called, so that it is known again."""
_WRITTEN = {**FORMATS, "notebook": ".ipynb"}


def is_sample_file(path: Path) -> bool:
    """Tell by the name alone; whatever the file holds is judged when it is read."""
    return path.suffix.lower() in _READERS


def read_sample_file(path: Path, override: Mapping[str, str]) -> Capture:
    """Return the capture of such a file, its set-up with ``override`` on top. Raises BadInput."""
    return _READERS[path.suffix.lower()](path, override)


def format_of(path: Path, wanted: str | None) -> str:
    """Return in which format a file is written: the one wanted, else by its name. Raises BadInput."""
    suffix = path.suffix.lower()
    by_name = next((name for name, end in _WRITTEN.items() if end == suffix), None)
    if wanted is None and by_name is None:
        ends = ", ".join(dict.fromkeys(_WRITTEN.values()))
        raise BadInput(f"{path} does not end in {ends}: name a file that does")
    if wanted is not None and _WRITTEN[wanted] != suffix:
        raise BadInput(
            f"{path} is to be {wanted} and does not end in {_WRITTEN[wanted]}: it would not be known again; "
            "name it so"
        )
    return wanted or by_name or ""


def write_sample_file(path: Path, table: SampleTable, form: str, unit: str, *, plain: bool = False) -> None:
    """Write a new file; ``unit`` is that of a CSV's readings, others have mm.

    ``plain``: a CSV holds its columns alone, and what stands beside them goes to ``beside_csv``. Raises
    BadInput, OSError.
    """
    if form == "parquet":
        write_parquet(table, path)
        return
    if plain:
        with beside_csv(path).open("x", encoding="utf-8", newline="\n") as file:
            json.dump(beside(table), file, ensure_ascii=False, allow_nan=False, indent=1)
            file.write("\n")
    with path.open("x", encoding="utf-8", newline="\n") as file:
        if form == "json":
            write_json(table, file)
        else:
            write_csv(table, file, unit, semicolons=form == "csv-semicolons", plain=plain)
