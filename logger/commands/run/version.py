"""The versions of the program and of what it writes."""

import click

from analysis.store import SCHEMA_VERSION
from logger.program_version import program_version
from logger.recording import FORMAT


def run() -> int:
    """Print the versions."""
    click.echo(f"fullturn {program_version()}, recording format {FORMAT}, store version {SCHEMA_VERSION}")
    return 0
