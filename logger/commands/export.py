"""``fullturn export``: the decoded samples of a sweep as CSV."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SEED, SETUP
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "export",
    help="Write the samples, units in the header, the set-up above it; ``sweep`` reads it back.",
    callback=Runs("logger.commands.run.export:run", SETUP, OUTPUT),
    params=[
        click.Argument(["file"], type=SWEEP_NAME),
        click.Option(
            ["-o", "--output", "out"],
            required=True,
            metavar="FILE.csv",
            help="Where to write; must not exist.",
        ),
        SEED,
        *SETUP.options,
        *OUTPUT.options,
    ],
)
