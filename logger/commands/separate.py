"""``fullturn separate``: part and spindle told apart, by order, from sweeps at different index angles."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, SWEEPS
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "separate",
    help="""Tell part and spindle apart: sweeps of one part, re-indexed on the arbor by known angles.

    FILE@DEG says where the part's mark sat on the arbor. One sweep is enough beside one of the arbor alone
    (--arbor), or taken after a cut (--cut-at). Two sweeps with part and tip moved to the opposite side
    (tip_clock) are taken as a reversal. Ends 3 where not even order 1 can be separated.
    """,
    callback=Runs("logger.commands.run.separate:run", SWEEPS, OUTPUT),
    params=[
        click.Argument(["files"], type=SWEEP_NAME, nargs=-1, metavar="FILE[@DEG]..."),
        click.Option(
            ["--arbor", "arbors"],
            type=SWEEP_NAME,
            multiple=True,
            metavar="FILE",
            help="Sweep of the arbor alone, from the arbor's mark.",
        ),
        click.Option(
            ["--cut-at"],
            metavar="DEG",
            help="Taken after a cut that was made with the part's mark here on the arbor.",
        ),
        *SWEEPS.options,
        *OUTPUT.options,
    ],
)
