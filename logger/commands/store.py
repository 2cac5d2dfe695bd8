"""``fullturn store``: what is done with the store itself."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT

command = click.Command(
    "store",
    help="""Put recordings into the store that it has not, or not whole: `fullturn store add FILE...`.

    Turns and result are those that recording it would have stored. A file that the store has already is left
    as it is; one that differs from the stored recording of the same identity is refused with 2.
    """,
    callback=Runs("logger.commands.run.store:run", OUTPUT),
    params=[
        click.Argument(["action"], type=click.Choice(["add"]), metavar="add"),
        click.Argument(["files"], nargs=-1, required=True, metavar="FILE..."),
        *OUTPUT.options,
    ],
)
