"""``fullturn check-file``: what a recording holds."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "check-file",
    help="""Tell frames good, bad and lost, gaps, and whether the file was closed.

    Ends 0 whenever the file can be read, 2 when nothing in it can.
    """,
    callback=Runs("logger.commands.run.check_file:run", OUTPUT),
    params=[click.Argument(["file"], type=SWEEP_NAME), *OUTPUT.options],
)
