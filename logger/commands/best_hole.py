"""``fullturn best-hole``: every position of a bolted-on part predicted, and the best one."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SWEEPS
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "best-hole",
    help="""Predict the runout of every position from a sweep of the flange and one of the part.

    Or from two sweeps taken assembled at known positions. Degrees everywhere; hole 1 is at the flange's mark.
    """,
    callback=Runs("logger.commands.run.best_hole:run", SWEEPS, OUTPUT),
    params=[
        click.Argument(["files"], type=SWEEP_NAME, nargs=-1, metavar="[FLANGE PART]"),
        click.Option(
            ["--assembled"],
            type=SWEEP_NAME,
            multiple=True,
            metavar="FILE@DEG",
            help="Sweep with the part bolted on at this position; two or more.",
        ),
        click.Option(
            ["--part", "part_alone"],
            type=SWEEP_NAME,
            metavar="FILE",
            help="With --assembled: a sweep of the part alone; bounds orders that cannot be told apart.",
        ),
        click.Option(["--holes"], metavar="N", help="Number of equal holes, or allowed angles: 0,55,120."),
        *SWEEPS.options,
        *OUTPUT.options,
    ],
)
