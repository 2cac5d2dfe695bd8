"""``fullturn settings``: each setting and whence it comes."""

import click

from logger.commands.declaring import Runs
from logger.commands.options import OUTPUT

command = click.Command(
    "settings",
    help="Show each setting: option goes before environment, that before fullturn.toml, that before default.",
    callback=Runs("logger.commands.run.settings:run", OUTPUT),
    params=[
        click.Option(["--fields"], is_flag=True, help="List the keys of a set-up and of a rig instead."),
        *OUTPUT.options,
    ],
)
