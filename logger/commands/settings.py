"""``fullturn settings``: each setting and whence it comes."""

import click

from logger.commands.options import OutputOptions, print_json, result_options
from logger.settings import ENVIRONMENT, FILE_NAME


@click.command()
@result_options
def command(output: OutputOptions) -> int:
    """Show each setting: option goes before environment, that before fullturn.toml, that before default."""
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
