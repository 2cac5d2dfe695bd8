"""Options shared by commands that put several sweeps together."""

from dataclasses import dataclass
from functools import wraps
from typing import Any

import click

from logger.commands.options import Function, SetupOptions


@dataclass(frozen=True)
class SweepOptions:
    """What applies to every sweep that the command line names."""

    seed: int
    setup: SetupOptions

    def override(self) -> dict[str, str]:
        """Return what goes on top of every sweep's own set-up."""
        return self.setup.text()


def sweep_options(function: Function) -> Function:
    """Add ``--setup``, ``--set`` and ``--seed``, which apply to every sweep named, as ``every``."""

    @wraps(function)
    def packed(*args: Any, seed: int, setup_file: str | None, pairs: tuple[str, ...], **others: Any) -> Any:
        return function(*args, every=SweepOptions(seed, SetupOptions(setup_file, pairs)), **others)

    for option in (
        click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1)."),
        click.option("--set", "pairs", multiple=True, metavar="KEY=VALUE", help="One value of every set-up."),
        click.option("--setup", "setup_file", metavar="FILE.toml", help="Set-up from a TOML file."),
    ):
        option(packed)
    return packed
