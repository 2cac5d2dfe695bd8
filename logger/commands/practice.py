"""``fullturn practice``: the virtual bench on a pseudo-terminal or TCP port, or written at once."""

import click

from logger.commands.declaring import Runs

command = click.Command(
    "practice",
    help="""Serve the virtual bench in real time until Ctrl-C; the first line printed is the port alone.

    NAME is a scenario such as wind-pump/as-found; a job's name alone means its as-found.
    """,
    callback=Runs("logger.commands.run.practice:run"),
    params=[
        click.Argument(["name"], required=False, metavar="[NAME]"),
        click.Option(
            ["--write", "out"], metavar="FILE", help="Make the recording at once instead of serving."
        ),
        click.Option(
            ["--seed"],
            type=int,
            default=1,
            help="Of noise and motion: the same seed, the same bytes (default 1).",
        ),
        click.Option(["--fault"], metavar="NAME", help="Put one fault in; --list names them."),
        click.Option(
            ["--turns"],
            type=click.IntRange(1, 1000),
            help="Turns to write instead of the scenario's own.",
        ),
        click.Option(
            ["--link"], metavar="PATH", help="Make a symbolic link to the port, there while it is served."
        ),
        click.Option(
            ["--tcp"],
            is_flag=True,
            help="Serve on a TCP port of 127.0.0.1 instead of a pseudo-terminal.",
        ),
        click.Option(["--list", "listing"], is_flag=True, help="List scenarios and faults."),
    ],
)
