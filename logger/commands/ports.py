"""``fullturn ports``: what is plugged in, told without opening anything."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT

command = click.Command(
    "ports",
    help="""List serial ports by maker, product and serial number, without opening any.

    Opening a stranger's port may reset the machine behind it: --probe names the ports and asks first.
    """,
    callback=Runs("logger.commands.run.ports:run", OUTPUT),
    params=[
        click.Option(
            ["--probe"],
            is_flag=True,
            help="Ask each port whether a board answers; names them and asks you first.",
        ),
        click.Option(["--yes"], is_flag=True, help="With --probe: open them without asking."),
        *OUTPUT.options,
    ],
)
