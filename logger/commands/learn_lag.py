"""``fullturn learn-lag``: how late a gauge is, learnt by turning both ways and at two speeds."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SWEEPS
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "learn-lag",
    help="""Learn how late the gauge is, and its play, from FORWARD, BACKWARD and SLOW.

    Three sweeps of one part, nothing touched between them: one each way round at about one speed, and one at
    half of it or less either way round. More sweeps narrow the answer.
    """,
    callback=Runs("logger.commands.run.learn_lag:run", SWEEPS, OUTPUT),
    params=[
        click.Argument(["forward"], type=SWEEP_NAME),
        click.Argument(["backward"], type=SWEEP_NAME),
        click.Argument(["slow"], type=SWEEP_NAME, nargs=-1, required=True),
        *SWEEPS.options,
        *OUTPUT.options,
    ],
)
