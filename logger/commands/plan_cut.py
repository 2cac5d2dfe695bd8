"""``fullturn plan-cut``: what a cut on this mounting would leave in the bearings, and the cut card."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SWEEPS
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "plan-cut",
    help="""Predict the runout that a perfect cut would leave, for each mounting, and plan the cut.

    Ends 0 mounting good enough, 1 mount it again or a stop on the card, 3 not decided, 2 bad input.
    """,
    callback=Runs("logger.commands.run.plan_cut:run", SWEEPS, OUTPUT),
    params=[
        click.Option(
            ["--bearings"],
            type=SWEEP_NAME,
            multiple=True,
            metavar="FILE",
            help="Sweep in the part's own bearings; two at two planes of an outside or bore.",
        ),
        click.Option(
            ["--mounting", "mountings"],
            type=SWEEP_NAME,
            multiple=True,
            metavar="FILE[@DEG]",
            help="Sweep on the lathe; the LAST one is on the lathe now.",
        ),
        click.Option(
            ["--track", "tracks"],
            type=SWEEP_NAME,
            multiple=True,
            metavar="FILE[@DEG]",
            help="Further track of the mounting on the lathe now, zero not touched.",
        ),
        click.Option(
            ["--between"],
            type=SWEEP_NAME,
            metavar="FILE[@DEG]",
            help="Sweep taken between passes: what is still uncut.",
        ),
        click.Option(
            ["--comes-off"],
            is_flag=True,
            help="The part comes off before the cut: scatter of the mountings joins.",
        ),
        click.Option(
            ["--limit"], help='Limit in the bearings, with its unit (default: the set-up\'s): "0.05 mm".'
        ),
        click.Option(["--quantity"], help="Quantity of the limit: tir, tir_first, eccentricity."),
        click.Option(["--minimum"], help="Least stock the maker allows to be left."),
        click.Option(["--stock"], help="Stock there is now."),
        click.Option(["--allowance"], default="0 mm", help="To take below the lowest place (default 0)."),
        click.Option(["--pass-depth"], help="Deepest single pass."),
        *SWEEPS.options,
        *OUTPUT.options,
    ],
)
