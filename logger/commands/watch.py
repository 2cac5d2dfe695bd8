"""``fullturn watch``: the live screen on a port, a practice bench or a recording; also ``fullturn`` alone."""

import click

from logger.commands.declaring import OptionGroup, Runs
from logger.commands.options import (
    BAUD,
    BETWEEN_PARTS,
    FAULT,
    RATE,
    SECOND,
    SEED,
    SETUP,
    STORE,
    UNITS,
    SourceOptions,
)
from logger.commands.sweep_names import SWEEP_NAME

RIG = click.Option(["--rig", "rig_file"], metavar="FILE", help="Rig file of a gauge that prints lines.")
SOURCE = OptionGroup("source_options", SourceOptions, (BAUD, RIG, SECOND, RATE, SEED, FAULT))

command = click.Command(
    "watch",
    help="""Show reading, TIR, high spot and strip while the part turns; record every byte from the first.

    Without a name: the one known board that answers. A recording is replayed, or followed with --follow.
    Caution: call out before turning; turn by hand or at creep speed with the drive locked out.
    """,
    callback=Runs("logger.commands.run.watch:run", SOURCE, SETUP),
    params=[
        click.Argument(["name"], type=SWEEP_NAME, required=False, metavar="[PORT|FILE|practice:NAME]"),
        click.Option(
            ["--follow"],
            is_flag=True,
            help="Follow a recording that another window is writing; view-only.",
        ),
        click.Option(["--ascii", "ascii_only"], is_flag=True, help="Where braille glyphs are missing."),
        click.Option(["--light"], is_flag=True, help="Dark letters on white."),
        click.Option(
            ["--serials"], metavar="LIST", help='Many parts, one after another: "A-{001..200}", with --job.'
        ),
        click.Option(["--job"], metavar="NUMBER", help="Job that what is measured is of."),
        *BETWEEN_PARTS,
        *SOURCE.options,
        click.Option(["--units"], type=UNITS, help="Unit of shown lengths."),
        STORE,
        *SETUP.options,
    ],
)
