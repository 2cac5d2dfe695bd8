"""``fullturn store``: what is done with the store itself."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT

ACTIONS = ("add", "status", "check", "find", "backup")

command = click.Command(
    "store",
    help="""Look after the store: `store add FILE...`, `store status`, `store check`, `store find FOLDER`,
    `store backup FILE.db`.

    add puts recordings into it that it has not, or not whole: turns and result are those that recording
    would have stored. A file that it has already is left as it is; one that differs from the stored recording
    of the same identity is refused with 2. status tells what it holds, and makes none. check holds every
    recording's file to its SHA-256 and ends with 2 where one is altered or missing. find looks in a folder
    for files that were moved. backup copies the store to a new file.
    """,
    callback=Runs("logger.commands.run.store:run", OUTPUT),
    params=[
        click.Argument(["action"], type=click.Choice(ACTIONS), metavar="|".join(ACTIONS)),
        click.Argument(["files"], nargs=-1, metavar="[FILE...]"),
        *OUTPUT.options,
    ],
)
