"""``fullturn history``: the turns in the store."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT

command = click.Command(
    "history",
    help="List what is stored, oldest first; with PART only the turns of that part.",
    callback=Runs("logger.commands.run.history:run", OUTPUT),
    params=[
        click.Argument(["part"], required=False),
        click.Option(["--last"], type=click.IntRange(1), metavar="N", help="Only the newest N turns."),
        *OUTPUT.options,
    ],
)
