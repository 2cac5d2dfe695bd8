"""``fullturn record``: from a port or the virtual bench to a stored and decided result, without a screen."""

import click

from logger.commands.declaring import OptionGroup, Runs
from logger.commands.options import (
    BAUD,
    BETWEEN_PARTS,
    FAULT,
    OUTPUT,
    RATE,
    SECOND,
    SEED,
    SETUP,
    SourceOptions,
)

RIG = click.Option(
    ["--rig", "rig_file"], metavar="FILE", help="Rig file of a gauge that prints lines; PORT may be -."
)
SOURCE = OptionGroup("source_options", SourceOptions, (RATE, BAUD, RIG, SECOND, SEED, FAULT))

command = click.Command(
    "record",
    help="""Record from PORT (or practice:NAME), store every turn as it ends, then decide.

    Without --turns or --seconds it records until Ctrl-C, which closes, prints and ends with 0 at any time; it
    ends with 4 where fewer turns or seconds come than were asked for. Caution: call out before turning; turn
    by hand or at creep speed with the drive locked out; no gloves or loose sleeves near it.
    """,
    callback=Runs("logger.commands.run.record:run", SOURCE, SETUP, OUTPUT),
    params=[
        click.Argument(["port"]),
        click.Option(["--turns"], type=click.IntRange(1, 100_000), help="End after so many full turns."),
        click.Option(["--seconds"], type=click.FloatRange(0.1), help="End after so many seconds."),
        RATE,
        BAUD,
        RIG,
        SECOND,
        click.Option(
            ["--out"], metavar="FILE", help="Where to record; must not exist (default: the data folder)."
        ),
        click.Option(["--no-store"], is_flag=True, help="Keep the recording alone, store nothing."),
        click.Option(["--every"], metavar="TIME", help='Begin a recording every "10 min"; with --for.'),
        click.Option(["--for", "lasting"], metavar="TIME", help='How long to go on with --every: "2 h".'),
        click.Option(
            ["--serials"],
            metavar="LIST",
            help='Many parts, one after another: "A-{001..200}"; SPACE begins each.',
        ),
        click.Option(["--job"], metavar="NUMBER", help="Job that the parts are of."),
        *BETWEEN_PARTS,
        SEED,
        FAULT,
        *SETUP.options,
        *OUTPUT.options,
    ],
)
