"""``fullturn report``: before and after on one page, to be printed and kept."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT, PAGE, SWEEPS
from logger.commands.sweep_names import SWEEP_NAME

command = click.Command(
    "report",
    help="""Put a part on one page: NAME is a part, a job's folder, or the files of before and after.

    A measurement record, not a certificate of fitness. Ends as the decision about the part as it is left: 0
    within, 1 over, 3 not decided.
    """,
    callback=Runs("logger.commands.run.report:run", SWEEPS, PAGE, OUTPUT),
    params=[
        click.Argument(["names"], type=SWEEP_NAME, nargs=-1, metavar="[NAME]..."),
        click.Option(
            ["-o", "--out"],
            required=True,
            multiple=True,
            metavar="FILE",
            help="Page to write: .html or .pdf; both are one record. With --lab a .csv too: the readings.",
        ),
        click.Option(
            ["--batch"], is_flag=True, help="Many parts: a summary and a table (.html, .pdf or .csv)."
        ),
        click.Option(["--labels"], metavar="FILE", help="With --batch: labels too (.html or .pdf)."),
        click.Option(
            ["--label-grid"], default="3x8", metavar="ACROSSxDOWN", help="Labels on a sheet (default 3x8)."
        ),
        click.Option(["--sampling"], metavar="TEXT", help="With --batch: how many of how many, chosen how."),
        click.Option(["--job", "job_number"], metavar="NUMBER", help="Only what was measured in this job."),
        click.Option(["--serial"], metavar="TEXT", help="Of a part, only this serial."),
        click.Option(
            ["--before"], type=SWEEP_NAME, metavar="FILE", help="Sweep from before, with a part or --after."
        ),
        click.Option(["--after"], type=SWEEP_NAME, metavar="FILE", help="Sweep from after."),
        click.Option(["--lab"], is_flag=True, help="Add the arithmetic; refused where something is missing."),
        click.Option(["--lab-name"], metavar="TEXT", help="Laboratory (or [lab] name of fullturn.toml)."),
        click.Option(["--lab-address"], metavar="TEXT", help="Its address (or [lab] address)."),
        click.Option(["--customer"], metavar="TEXT", help="Customer."),
        click.Option(["--method"], metavar="TEXT", help="Method (or [lab] method)."),
        click.Option(["--amends"], metavar="NUMBER", help="Number of the record this one replaces."),
        click.Option(["--reason"], metavar="TEXT", help="Why it does."),
        *SWEEPS.options,
        *PAGE.options,
        *OUTPUT.options,
    ],
)
