"""The turns in the store, oldest first."""

import click

from analysis import store
from logger import reports
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.commands.run.chosen_store import is_yet_to_be_made
from logger.reports.phrases import layout, printable


def run(part: str | None, last: int | None, output: OutputOptions) -> int:
    """Print one line a turn."""
    settings = output.settings()
    where = settings.store.value
    rows, damaged = list[store.HistoryRow](), list[int]()
    # Looking makes no store: record, watch and store add do.
    if not is_yet_to_be_made(settings):
        with store.open_store(where) as opened:
            rows, damaged = opened.readable_history(part, last)
            where = opened.name
    if output.as_json:
        print_json(reports.history.as_json(rows, damaged))
    elif rows or damaged:
        click.echo(layout(reports.history.as_text(rows, where, settings.units.value, damaged)))
    else:
        of_part = f" of {part!r}" if part else ""
        click.echo(
            printable(
                f"No turns{of_part} in the store ({where}). fullturn record stores every turn as it ends."
            )
        )
    return 0
