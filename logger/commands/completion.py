"""``fullturn completion``: the completion script of a shell."""

import click

from logger.commands import COMPLETE_VARIABLE, cli


@click.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def command(shell: str) -> int:
    """Print the script that completes commands and options in SHELL.

    For bash: fullturn completion bash > ~/.local/share/bash-completion/completions/fullturn
    """
    from click.shell_completion import get_completion_class  # noqa: PLC0415

    found = get_completion_class(shell)
    assert found is not None
    click.echo(found(cli, {}, "fullturn", COMPLETE_VARIABLE).source())
    return 0
