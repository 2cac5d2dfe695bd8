"""Samples written as CSV: parted by commas, or by semicolons with a decimal comma."""

from collections.abc import Callable, Mapping
from typing import TextIO

from analysis.units import MM_PER
from logger.inputs.sample_table import FROM, RESOLUTION, SampleTable

_PLACES = {"mm": 7, "um": 4, "in": 9, "thou": 6}
"""Decimals that are written: a ten-thousandth of a micrometre."""
_AS_TEXT: Mapping[str, Callable[[float], str]] = {"t_s": "{:.6f}".format, "angle_deg": "{:.9f}".format}


def write_csv(
    table: SampleTable, file: TextIO, unit: str = "mm", *, semicolons: bool = False, plain: bool = False
) -> None:
    """Write set-up, step and what its recording knew as ``# key = value`` lines, then the samples.

    ``plain``: the samples alone.

    With ``semicolons`` columns are parted by them and numbers have a decimal comma, as spreadsheets of many
    countries want it; ``sweep`` reads both.
    """
    parted_by, point = (";", ",") if semicolons else (",", ".")
    if not plain:
        for key, value in table.setup.items():
            file.write(f"# {key} = {value}\n")
        if table.resolution_mm > 0:
            file.write(f"# {RESOLUTION} = {table.resolution_mm:.12g} mm\n")
        for key, value in table.recorded.items():
            file.write(f"# {FROM}{key} = {value}\n")
    per = MM_PER[unit]
    columns = table.columns
    names = [f"{name.removesuffix('mm')}{unit}" if name.endswith("_mm") else name for name in columns]
    file.write(parted_by.join(names) + "\n")

    def reading(mm: float) -> str:
        return f"{mm / per:.{_PLACES[unit]}f}".rstrip("0").rstrip(".")

    as_text = [reading if name.endswith("_mm") else _AS_TEXT.get(name, "{:d}".format) for name in columns]
    for row in zip(*(column.tolist() for column in columns.values()), strict=True):
        cells = [text(value) for text, value in zip(as_text, row, strict=True)]
        line = parted_by.join(cells) if point == "." else parted_by.join(cells).replace(".", point)
        file.write(line + "\n")
