"""``fullturn adjust``: moves of screws, jaws or shims that take order 1 out."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SWEEPS
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "adjust",
    help="Print the move of each screw: + = away from the axis; shims under a face are only added.",
    callback=Runs("logger.commands.run.adjust:run", SWEEPS, OUTPUT),
    params=[
        click.Argument(["file"], type=SWEEP_NAME, metavar="FILE"),
        click.Option(
            ["--screws"], required=True, metavar="0,120,240", help="Angles of the screws, jaws or shims."
        ),
        click.Option(["--screw-radius"], metavar="LENGTH", help="Radius the shims sit at (a face)."),
        *SWEEPS.options,
        *OUTPUT.options,
    ],
)
