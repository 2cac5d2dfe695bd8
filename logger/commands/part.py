"""``fullturn part``: which parts there are, with their serials."""

import click

from logger.commands.declaring import Runs, Subcommands
from logger.commands.options import OUTPUT

NUMBER = click.Argument(["number"], metavar="NUMBER")

command = Subcommands(
    "part",
    help="""The parts in the store: `part list`, `part show`, `part add`.

    A part that a recording names (--set part=NUMBER, and serial=SERIAL) is there without having been added.
    """,
    commands=[
        click.Command(
            "add",
            help="Enter a part before it is measured.",
            callback=Runs("logger.commands.run.part:add", OUTPUT),
            params=[
                NUMBER,
                click.Option(
                    ["--serial"],
                    metavar="TEXT",
                    default="",
                    help="Its serial, where parts of one number are told apart.",
                ),
                click.Option(["--name"], metavar="TEXT", help="What it is."),
                click.Option(["--drawing"], metavar="TEXT", help="Number of its drawing."),
                click.Option(["--customer"], metavar="TEXT", help="Whose it is."),
                *OUTPUT.options,
            ],
        ),
        click.Command(
            "list",
            help="List the parts, with how many recordings each has.",
            callback=Runs("logger.commands.run.part:list_parts", OUTPUT),
            params=[*OUTPUT.options],
        ),
        click.Command(
            "show",
            help="Show the parts of one number with their recordings, newest first.",
            callback=Runs("logger.commands.run.part:show", OUTPUT),
            params=[
                NUMBER,
                click.Option(["--serial"], metavar="TEXT", help="Only the one with this serial."),
                *OUTPUT.options,
            ],
        ),
    ],
)
