"""``fullturn backlash``: readings at a few places, typed; mean, range, once-round part."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SWEEPS
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "backlash",
    help="Judge backlash read at several places round the gear.",
    callback=Runs("logger.commands.run.backlash:run", SWEEPS, OUTPUT),
    params=[
        click.Argument(["readings"], metavar='"0:0.13 45:0.15 ... mm"'),
        click.Option(
            ["--sweep", "sweep_file"],
            type=SWEEP_NAME,
            metavar="FILE",
            help="Sweep of the face, to hold the phase against.",
        ),
        click.Option(["--factor"], metavar="X", help="Change of backlash per axial movement."),
        *SWEEPS.options,
        *OUTPUT.options,
    ],
)
