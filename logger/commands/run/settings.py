"""Each setting in force, and whence it comes."""

import click

from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.settings import ENVIRONMENT, FILE_NAME


def run(output: OutputOptions) -> int:
    """Print one line a setting."""
    settings = output.settings()
    if output.as_json:
        print_json(
            {
                "settings": [
                    {"name": one.name, "value": one.value, "source": one.source} for one in settings.all()
                ]
            }
        )
        return 0
    for one in settings.all():
        click.echo(f"{one.name:<7} {one.value}  ({one.source}; environment {ENVIRONMENT[one.name]})")
    click.echo(f"File: {settings.config_folder / FILE_NAME}")
    return 0
