"""``fullturn history``: what is in the store, by turn, recording, part, job or month, and in time."""

import click

from logger.commands.declaring import OptionGroup, Runs
from logger.commands.history_options import UNNAMED, FilterOptions, JudgedOptions
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

JUDGED = OptionGroup(
    "judged",
    JudgedOptions,
    (
        click.Option(
            ["--again"],
            is_flag=False,
            flag_value=UNNAMED,
            metavar="ID",
            help="Analyse again from the recording and say why a number moved: a turn, rec/IDENTITY, --all.",
        ),
        click.Option(
            ["--all", "all_listed"], is_flag=True, help="With --again: every recording that is listed."
        ),
        click.Option(["--why"], metavar="TEXT", help="With --again: what for."),
        click.Option(["--chart"], is_flag=True, help="Checks of PART, a check standard, against its limits."),
        click.Option(
            ["--fix-baseline"], is_flag=True, help="Fix the limits of PART from what is listed of it."
        ),
        click.Option(
            ["--suspect"],
            is_flag=True,
            help="What hangs on a gauge past due, found worse, or failed by its check.",
        ),
    ),
)

command = click.Command(
    "history",
    help="""List what is stored, oldest first; with PART only of that part.

    --by recording, part, job or month puts turns together; --trend shows how a quantity of one part changes.
    --chart ends 0 with the newest check in control, 1 out, 3 with too few; --again ends 3 where a decision is
    another one.
    """,
    callback=Runs("logger.commands.run.history:run", FILTER, JUDGED, OUTPUT),
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
        click.Option(["--csv", "csv_file"], metavar="FILE", help="Write one row a recording too (.csv)."),
        click.Option(
            ["--figure"],
            metavar="FILE",
            help="With --trend or --chart: draw it too (.svg, .pdf; a trend as .png too).",
        ),
        *JUDGED.options,
        *OUTPUT.options,
    ],
)
