"""``fullturn compare``: how much and which way it changed, and whether the two may be compared."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SWEEPS
from logger.commands.sweep_names import COMPARED_NAME

command = click.Command(
    "compare",
    help="""Compare BEFORE and AFTER: the change as a vector, and what makes them comparable or not.

    Ends 3 where something blocks the comparison: another part, surface, quantity, axis, preload.
    Of ``store:...`` whose file is gone the stored vectors are compared.
    """,
    callback=Runs("logger.commands.run.compare:run", SWEEPS, OUTPUT),
    params=[
        click.Argument(["before"], type=COMPARED_NAME),
        click.Argument(["after"], type=COMPARED_NAME),
        *SWEEPS.options,
        *OUTPUT.options,
    ],
)
