"""``fullturn thickness``: two opposed tips in one recording, or a micrometer typed round the disc."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SEED, SETUP
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "thickness",
    help="""Tell how the thickness varies round a disc, independent of its wobble.

    Ends 0 (within a given limit, or none given), 1 over, 3 not decided.
    """,
    callback=Runs("logger.commands.run.thickness:run", SETUP, OUTPUT),
    params=[
        click.Argument(["file"], type=SWEEP_NAME, required=False, metavar="[FILE]"),
        click.Option(
            ["--typed"], metavar='"0:9.98 90:9.97 ... mm"', help="Micrometer readings instead of a file."
        ),
        click.Option(
            ["--second"],
            type=click.IntRange(0, 15),
            default=1,
            help="Channel of the opposed tip (default 1).",
        ),
        SEED,
        *SETUP.options,
        *OUTPUT.options,
    ],
)
