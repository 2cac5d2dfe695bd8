"""How a result is printed: as one JSON object where it was asked for, else as text."""

from collections.abc import Callable, Mapping
from typing import Any

import click

from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.reports.phrases import Report, layout


def emit(
    output: OutputOptions, as_json: Callable[[], Mapping[str, Any]], as_text: Callable[[], Report]
) -> None:
    """Print a result; only the form that was asked for is made."""
    if output.as_json:
        print_json(as_json())
    else:
        click.echo(layout(as_text()))
