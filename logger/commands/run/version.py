"""The version of the program, and those of what it writes."""

from importlib.metadata import PackageNotFoundError, version

import click

from analysis.store import SCHEMA_VERSION
from logger.recording import FORMAT


def program_version() -> str:
    """Return the version of this program; ``0+source`` where it runs without being installed."""
    try:
        return version("fullturn")
    except PackageNotFoundError:
        return "0+source"


def run() -> int:
    """Print the versions."""
    click.echo(f"fullturn {program_version()}, recording format {FORMAT}, store version {SCHEMA_VERSION}")
    return 0
