"""``fullturn completion``: the completion script of a shell."""

import click

from logger.commands.declaring import Runs

command = click.Command(
    "completion",
    help="""Print the script that completes commands and options in SHELL.

    For bash: fullturn completion bash > ~/.local/share/bash-completion/completions/fullturn
    """,
    callback=Runs("logger.commands.run.completion:run"),
    params=[click.Argument(["shell"], type=click.Choice(["bash", "zsh", "fish"]))],
)
