"""``fullturn job``: which jobs there are."""

import click

from logger.commands.declaring import Runs, Subcommands
from logger.commands.options import OUTPUT

NUMBER = click.Argument(["number"], metavar="NUMBER")

command = Subcommands(
    "job",
    help="""The jobs in the store: `job list`, `job show`, `job add`.

    A job that a recording names (--set job=NUMBER) is there without having been added.
    """,
    commands=[
        click.Command(
            "add",
            help="Enter a job before anything of it is measured.",
            callback=Runs("logger.commands.run.job:add", OUTPUT),
            params=[
                NUMBER,
                click.Option(["--customer"], metavar="TEXT", help="For whom."),
                click.Option(["--contact"], metavar="TEXT", help="Whom to ask there."),
                click.Option(["--received"], metavar="DATE", help="When the parts came, as 2026-01-31."),
                click.Option(["--condition"], metavar="TEXT", help="In what condition they came."),
                click.Option(["--place"], metavar="TEXT", help="Where they are measured."),
                *OUTPUT.options,
            ],
        ),
        click.Command(
            "list",
            help="List the jobs, with how many recordings each has.",
            callback=Runs("logger.commands.run.job:list_jobs", OUTPUT),
            params=[*OUTPUT.options],
        ),
        click.Command(
            "show",
            help="Show one job with its recordings, newest first.",
            callback=Runs("logger.commands.run.job:show", OUTPUT),
            params=[NUMBER, *OUTPUT.options],
        ),
    ],
)
