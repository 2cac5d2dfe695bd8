"""``fullturn tour``: the whole job of the practice bench in one go, and its page."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT

command = click.Command(
    "tour",
    help="""Go through one whole job on the practice bench, end float to as left, and leave its page.

    Every step in one line as it is ready, the two traps named. Ends 0: its part is invented.
    """,
    callback=Runs("logger.commands.run.tour:run", OUTPUT),
    params=[
        click.Option(
            ["-o", "--out"],
            default="fullturn-tour",
            metavar="FOLDER",
            help="Folder it leaves (fullturn-tour).",
        ),
        click.Option(["--step", "by_step"], is_flag=True, help="Wait for SPACE after every step."),
        *OUTPUT.options,
    ],
)
