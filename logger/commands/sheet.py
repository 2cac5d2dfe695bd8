"""``fullturn sheet``: an empty sheet for readings written down with a pencil."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, PAGE

command = click.Command(
    "sheet",
    help="""Print an empty sheet: a row for each place round the part, a circle, a strip, and an example.

    What was written on it is typed into `fullturn sweep --typed`.
    """,
    callback=Runs("logger.commands.run.sheet:run", PAGE, OUTPUT),
    params=[
        click.Option(["-o", "--out"], required=True, metavar="FILE", help="File to write: .html or .pdf."),
        click.Option(
            ["--places"],
            type=click.Choice(["8", "12", "24"]),
            default="8",
            help="How many places (default 8).",
        ),
        click.Option(["--part"], metavar="TEXT", help="Part, printed on it."),
        click.Option(["--limit"], metavar="LENGTH", help="Limit as the manual writes it, printed on it."),
        *PAGE.options,
        *OUTPUT.options,
    ],
)
