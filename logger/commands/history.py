"""``fullturn history``: what is in the store, by turn, recording, part, job or month, and in time."""

import click

from logger.commands.declaring import OptionGroup, Runs
from logger.commands.history_options import FilterOptions
from logger.commands.options import OUTPUT

STATES = ("within", "over", "undecided", "none", "interrupted", "running")
BY = ("turn", "recording", "part", "job", "month")
QUANTITIES = ("tir", "tir_first", "eccentricity", "form")

FILTER = OptionGroup(
    "only",
    FilterOptions,
    (
        click.Option(["--serial"], metavar="TEXT", help="Of PART, only this serial."),
        click.Option(["--job", "job_number"], metavar="NUMBER", help="Only what was measured in this job."),
        click.Option(["--stage"], metavar="STAGE", help='Only this stage, as "as left".'),
        click.Option(["--state"], type=click.Choice(STATES), help="Only what was decided so, or ended so."),
        click.Option(["--gauge"], metavar="ID", help="Only what this gauge measured."),
        click.Option(["--operator"], metavar="INITIALS", help="Only what was measured by."),
        click.Option(["--since"], metavar="DATE", help="From this day on, as 2026-01-31."),
        click.Option(["--until"], metavar="DATE", help="Up to this day, which is listed too."),
    ),
)

command = click.Command(
    "history",
    help="""List what is stored, oldest first; with PART only of that part.

    --by recording, part, job or month puts turns together; --trend shows how a quantity of one part changes.
    """,
    callback=Runs("logger.commands.run.history:run", FILTER, OUTPUT),
    params=[
        click.Argument(["part"], required=False),
        click.Option(["--last"], type=click.IntRange(1), metavar="N", help="Only the newest N turns."),
        *FILTER.options,
        click.Option(
            ["--by"], type=click.Choice(BY), default="turn", help="A line is of what (default turn)."
        ),
        click.Option(["--trend"], is_flag=True, help="How a quantity of PART changes from month to month."),
        click.Option(
            ["--quantity"],
            type=click.Choice(QUANTITIES),
            default="tir",
            help="With --trend: of which quantity (default tir).",
        ),
        *OUTPUT.options,
    ],
)
