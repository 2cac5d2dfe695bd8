"""Each setting in force, and whence it comes; or the fields of a set-up."""

import click

from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.commands.setup_keys import row_of, typed_fields
from logger.settings import ENVIRONMENT, FILE_NAME


def run(fields: bool, output: OutputOptions) -> int:
    """Print one line a setting, or one a field of the set-up."""
    if fields:
        list_fields(output.as_json)
        return 0
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


def list_fields(as_json: bool) -> None:
    """Print one line a field: its key, default, unit, an example, and what it is."""
    if as_json:
        print_json(
            {
                "fields": [
                    {
                        "key": field.key,
                        "default": field.default,
                        "unit": field.unit,
                        "example": field.example,
                        "choices": list(field.words),
                        "help": field.help,
                    }
                    for field in typed_fields()
                ]
            }
        )
        return
    rows = [("key", "default", "unit", "example", "what it is"), *map(row_of, typed_fields())]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    for *cells, what in rows:
        click.echo("".join(f"{cell:<{width + 2}}" for cell, width in zip(cells, widths, strict=True)) + what)
