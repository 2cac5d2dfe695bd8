"""``fullturn gauge``: the register of gauges, one row for each calibration."""

import click

from logger.commands.declaring import Runs, Subcommands
from logger.commands.options import OUTPUT

KINDS = click.Choice(["indicator", "encoder", "thermometer", "standard"])
KIND = click.Option(["--kind"], type=KINDS, default="indicator", help="What it is (default indicator).")
ID = click.Argument(["id"], metavar="ID")

command = Subcommands(
    "gauge",
    help="""The register of gauges: `gauge add`, `gauge list`, `gauge show`.

    Each calibration is a row of its own and none is ever changed: add the gauge again when it has been
    calibrated. What the newest row of an indicator says holds for every recording that names it
    (--set gauge_id=ID).
    """,
    commands=[
        click.Command(
            "add",
            help='Enter a gauge, or its new calibration: `fullturn gauge add DI-07 --error "0.003 mm"`.',
            callback=Runs("logger.commands.run.gauge:add", OUTPUT),
            params=[
                ID,
                KIND,
                click.Option(["--serial"], metavar="TEXT", help="Its maker's serial number."),
                click.Option(["--certificate"], metavar="TEXT", help="Number of its certificate."),
                click.Option(["--certified"], metavar="DATE", help="Day of the certificate, as 2026-01-31."),
                click.Option(["--due"], metavar="DATE", help="Last day on which it holds, as 2027-01-31."),
                click.Option(["--error"], metavar="LENGTH", help='Error by the certificate, as "0.003 mm".'),
                click.Option(
                    ["--means"],
                    type=click.Choice(["limits", "U95", "u"]),
                    help="What that figure is: limits of error (default), expanded (k = 2), standard.",
                ),
                click.Option(["--span"], metavar="LENGTH", help="Range over which that error holds."),
                click.Option(["--resolution"], metavar="LENGTH", help='Its step, as "0.01 mm".'),
                click.Option(
                    ["--table"], metavar="TABLE", help='Its errors, reading:error, as "0:0 1:+0.001 mm".'
                ),
                click.Option(["--who"], metavar="INITIALS", help="Who enters it: initials, no name."),
                *OUTPUT.options,
            ],
        ),
        click.Command(
            "list",
            help="List the newest calibration of each gauge; --all lists the earlier ones too.",
            callback=Runs("logger.commands.run.gauge:list_gauges", OUTPUT),
            params=[
                click.Option(["--all", "every"], is_flag=True, help="Earlier calibrations too."),
                *OUTPUT.options,
            ],
        ),
        click.Command(
            "show",
            help="Show every calibration of one gauge, and how many recordings were made with each.",
            callback=Runs("logger.commands.run.gauge:show", OUTPUT),
            params=[ID, KIND, *OUTPUT.options],
        ),
    ],
)
