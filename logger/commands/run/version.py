"""The versions of the program and of what it writes."""

import click

from analysis.store import SCHEMA_VERSION
from logger.program_version import PROGRAM_VERSION
from logger.recording import FORMAT


def run() -> int:
    """Print the versions."""
    click.echo(f"fullturn {PROGRAM_VERSION}, recording format {FORMAT}, store version {SCHEMA_VERSION}")
    return 0
