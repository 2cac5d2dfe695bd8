"""``fullturn endfloat``: a shaft pushed home and pulled out, and whether a face sweep can be believed."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SEED, SETUP
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "endfloat",
    help="""Tell the end float of a push-pull capture and hold it against a share of the limit.

    Ends 1 over the gate, half of the runout's limit, or over a limit on end_float, which is decided like any
    other: 3 where it is not. Also 3 where a limit was given and fewer than three pushes and pulls are seen,
    for then it is not measured.
    """,
    callback=Runs("logger.commands.run.endfloat:run", SETUP, OUTPUT),
    params=[click.Argument(["file"], type=SWEEP_NAME, metavar="FILE"), SEED, *SETUP.options, *OUTPUT.options],
)
