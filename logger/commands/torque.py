"""``fullturn torque``: the order in which bolts are tightened, in steps."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT

command = click.Command(
    "torque",
    help="Print a criss-cross order for N bolts, bolt 1 at the mark, for every step.",
    callback=Runs("logger.commands.run.torque:run", OUTPUT),
    params=[
        click.Argument(["bolts"], type=int, metavar="N"),
        click.Option(
            ["--steps"], required=True, metavar='"20,40,60 Nm"', help="Steps as the manual has them."
        ),
        click.Option(
            ["--thread"], type=click.Choice(["right", "left"]), default="right", help="Thread hand."
        ),
        *OUTPUT.options,
    ],
)
