"""The turns in the store, oldest first."""

from pathlib import Path

import click

from analysis import store
from logger import reports
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.reports.phrases import layout, printable
from logger.settings import SettingSource


def run(part: str | None, last: int | None, output: OutputOptions) -> int:
    """Print one line a turn."""
    settings = output.settings()
    where = settings.store.value
    absent = where.endswith(".db") and "://" not in where and not Path(where).exists()
    if absent and (Path(where).parent.is_dir() or settings.store.source == SettingSource.DEFAULT):
        rows = []  # looking makes no store: record, watch and store add do
    else:
        with store.open_store(where) as opened:
            rows = opened.history(part, last)
    if output.as_json:
        print_json(reports.history.as_json(rows))
    elif rows:
        click.echo(layout(reports.history.as_text(rows, where, settings.units.value)))
    else:
        of_part = f" of {part!r}" if part else ""
        click.echo(
            printable(
                f"No turns{of_part} in the store ({where}). fullturn record stores every turn as it ends."
            )
        )
    return 0
