"""``fullturn export``: the decoded samples of a sweep as a file for other programs."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SEED, SETUP
from logger.commands.sweep_names import SWEEP_NAME

FORMATS = ("csv", "csv-semicolons", "json", "parquet", "notebook")

command = click.Command(
    "export",
    help="""Write the samples as .csv, .json or .parquet, units in the names, with the set-up and what the
    recording knew; ``sweep`` reads each of them back. An .ipynb is a notebook that reads the recording
    itself.""",
    callback=Runs("logger.commands.run.export:run", SETUP, OUTPUT),
    params=[
        click.Argument(["file"], type=SWEEP_NAME),
        click.Option(
            ["-o", "--output", "out"],
            required=True,
            metavar="FILE",
            help="Where to write: .csv, .json, .parquet or .ipynb; must not exist.",
        ),
        click.Option(
            ["--format", "form"],
            type=click.Choice(FORMATS),
            help="By the name unless said; csv-semicolons has decimal commas, for spreadsheets.",
        ),
        click.Option(
            ["--plain"],
            is_flag=True,
            help="A CSV of the columns alone; the rest goes to its name with .json after it.",
        ),
        click.Option(
            ["--opposed"],
            type=click.IntRange(0, 15),
            metavar="CHANNEL",
            help="Readings of this channel too, a second tip: each tip has a column of its own.",
        ),
        SEED,
        *SETUP.options,
        *OUTPUT.options,
    ],
)
