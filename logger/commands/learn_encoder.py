"""``fullturn learn-encoder``: an encoder or a roller learnt by turning by the mark."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SETUP
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "learn-encoder",
    help="""Learn counts per turn (a fraction too), sense and slip from a recording.

    Record with --set button_1=mark; turn clockwise as seen from the declared end, one way only, and press
    each time the part's mark stands under the tip: six times or more.
    """,
    callback=Runs("logger.commands.run.learn_encoder:run", SETUP, OUTPUT),
    params=[click.Argument(["file"], type=SWEEP_NAME), *SETUP.options, *OUTPUT.options],
)
