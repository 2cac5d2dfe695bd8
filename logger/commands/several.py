"""Options shared by commands that put several sweeps together."""

from collections.abc import Callable
from typing import Any, TypeVar

import click

from logger.commands.common import setup_from

Function = TypeVar("Function", bound=Callable[..., Any])


def sweep_options(function: Function) -> Function:
    """Add ``--setup``, ``--set`` and ``--seed``, which apply to every sweep named."""
    for option in (
        click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1)."),
        click.option(
            "--set", "settings", multiple=True, metavar="KEY=VALUE", help="One value of every set-up."
        ),
        click.option("--setup", "setup_file", metavar="FILE.toml", help="Set-up from a TOML file."),
    ):
        function = option(function)
    return function


def override_of(setup_file: str | None, settings: tuple[str, ...]) -> dict[str, str]:
    """Return what the command line puts on top of every sweep's own set-up."""
    return setup_from(setup_file, settings, None, None, None)
