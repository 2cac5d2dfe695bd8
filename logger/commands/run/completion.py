"""What a shell gets that completes commands and options."""

import click
from click.shell_completion import get_completion_class

from logger.commands import COMPLETE_VARIABLE, cli


def run(shell: str) -> int:
    """Print the script."""
    found = get_completion_class(shell)
    assert found is not None
    click.echo(found(cli, {}, "fullturn", COMPLETE_VARIABLE).source())
    return 0
