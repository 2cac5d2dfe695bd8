"""What to watch where nothing was named: the board that was used before, or the newest recording."""

import sys

import click

from analysis.errors import BadInput
from logger.acquisition import newest_recording
from logger.settings import Settings
from logger.sources import KnownBoards, ports


def choose_source(settings: Settings, follow: bool) -> str | None:
    """Return the one known board that is there, or one picked by number; None where there is none."""
    if follow:
        found = newest_recording(settings.data_folder)
        if found is None:
            raise BadInput(f"nothing to follow: no recording in {settings.data_folder}; name one")
        return str(found)
    there = ports(KnownBoards(settings.config_folder))
    known = [port for port in there if port.known]
    if len(known) == 1:
        return known[0].path
    if not known:
        click.echo(
            "No board that was used before is there: plug it in, or look whether its cable carries data.\n"
            "A new one is named once: fullturn watch PORT (fullturn ports lists them without opening any)\n"
            "Without a board: fullturn watch practice:wind-pump/as-found",
            err=True,
        )
        return None
    click.echo("Several boards were used before:", err=True)
    for number, port in enumerate(known, 1):
        click.echo(f"  {number}  {port.path}  {port.maker} {port.product}".rstrip(), err=True)
    if not sys.stdin.isatty():
        raise BadInput("which one? name it: fullturn watch PORT")
    number_typed = click.prompt("Number", type=click.IntRange(1, len(known)), err=True)
    return known[number_typed - 1].path
