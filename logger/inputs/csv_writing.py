"""Samples written as CSV: parted by commas, or by semicolons with a decimal comma."""

from typing import TextIO

from analysis.units import MM_PER
from logger.inputs.sample_table import FROM, RESOLUTION, SampleTable

_PLACES = {"mm": 7, "um": 4, "in": 9, "thou": 6}
"""Decimals that are written: a ten-thousandth of a micrometre."""


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
    t_s = columns.get("t_s")
    names = ["turn", "angle_deg", f"reading_{unit}", "new"]
    file.write(parted_by.join(names if t_s is None else ["t_s", *names]) + "\n")
    for k in range(len(table)):
        cells = [
            *([] if t_s is None else [f"{t_s[k]:.6f}"]),
            f"{columns['turn'][k]}",
            f"{columns['angle_deg'][k]:.9f}",
            f"{columns['reading_mm'][k] / per:.{_PLACES[unit]}f}".rstrip("0").rstrip("."),
            f"{int(columns['new'][k])}",
        ]
        line = parted_by.join(cells) if point == "." else parted_by.join(cells).replace(".", point)
        file.write(line + "\n")
