"""``fullturn sweep``: recordings, CSV files, practice:NAME or typed readings, analysed."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import FAULT, OUTPUT, SEED, SETUP
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "sweep",
    help="""Analyse one sweep or several: turns, orders, runout, checks, uncertainty, decision.

    Ends 0 (within a given limit, or none given), 1 over, 3 not decided, 2 bad input.
    """,
    callback=Runs("logger.commands.run.sweep:run", SETUP, OUTPUT),
    params=[
        click.Argument(["files"], type=SWEEP_NAME, nargs=-1, metavar="[FILE]..."),
        click.Option(
            ["--typed"], metavar='"0:0 90:+3 ... thou"', help="Readings at clock places instead of a file."
        ),
        click.Option(
            ["--orders"],
            type=int,
            metavar="H",
            help="Highest order to fit (default 15, or what the gauge carries).",
        ),
        click.Option(
            ["--leave-out"],
            multiple=True,
            metavar="FROM:TO=REASON",
            help="Leave a window of degrees out, and why.",
        ),
        click.Option(["--stages"], is_flag=True, help="Add one line per step of the data path."),
        SEED,
        FAULT,
        click.Option(
            ["--form", "with_form"],
            is_flag=True,
            help="Add circles, flatness and total runout over all files.",
        ),
        click.Option(
            ["--filter", "filter_upr"],
            type=click.Choice(["15", "50", "150", "500"]),
            help="Cut-off of the Gaussian filter before --form, UPR.",
        ),
        click.Option(
            ["--sag", "sag_file"],
            type=SWEEP_NAME,
            metavar="FILE",
            help="Sweep of the sag of an indicator carried round.",
        ),
        click.Option(
            ["--opposed"],
            type=click.IntRange(0, 15),
            metavar="CHANNEL",
            help="Second tip on the same face: the shaft's axial walk is taken off.",
        ),
        click.Option(
            ["--tips-apart"],
            metavar="DEG",
            help="With --opposed: the second tip reads so much further on (default 180).",
        ),
        click.Option(
            ["--plane", "planes"],
            multiple=True,
            metavar="LENGTH",
            help="Predict order 1 at this plane, from two files at two planes (track_plane).",
        ),
        *SETUP.options,
        *OUTPUT.options,
    ],
)
