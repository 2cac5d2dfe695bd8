"""What ``history`` writes: a row a recording as CSV, a trend or the checks of a standard as a drawing."""

import io
from collections.abc import Sequence
from pathlib import Path

from analysis import plots, store
from logger import page, reports, studies

FIGURES = (".svg", ".png", ".pdf")
DRAWINGS = (".svg", ".pdf")
"""What a picture of checks is drawn as: as the page is, without a raster."""


def check_files(csv_file: str | None, figure: str | None, *, of_chart: bool) -> None:
    """Refuse a name that cannot be written, before anything is asked. Raises BadInput."""
    if csv_file is not None:
        page.check_file(Path(csv_file), (".csv",))
    if figure is not None:
        page.check_file(Path(figure), DRAWINGS if of_chart else FIGURES)


def write_recordings(sweeps: Sequence["store.StoredSweep"], file: str) -> None:
    """Write one row a recording. Raises BadInput."""
    rows = reports.history_views.recordings_as_json(sweeps)["recordings"]
    names = reports.history_views.RECORDING_KEYS
    page.write_whole(Path(file), reports.csv_table.csv_table(names, rows).encode())


def draw_chart(found: "studies.CheckChart", part: str, unit: str, file: str) -> None:
    """Draw the checks of a standard with their limits. Raises BadInput."""
    path = Path(file)
    drawn = page.made_drawing(page.figure_of_checks(found, part, unit), page.Style(), path.suffix.lower())
    page.write_whole(path, drawn)


def draw_trend(found: "studies.Trend", part: str, file: str) -> None:
    """Draw values in time with their intervals and limits. Raises BadInput."""
    ax = plots.plot_trend(
        {
            "measured": [one.sweep.started for one in found.points],
            "value_mm": [one.number.value_mm for one in found.points],
            "low_mm": [one.number.low_mm for one in found.points],
            "high_mm": [one.number.high_mm for one in found.points],
            "limit_mm": [one.number.limit_mm for one in found.points],
        }
    )
    ax.set_title(f"{reports.phrases.QUANTITY_WORDS[found.quantity]} of {part}".replace("$", r"\$"))
    drawn = io.BytesIO()
    ax.figure.savefig(drawn, format=Path(file).suffix[1:].lower())
    page.write_whole(Path(file), drawn.getvalue())
