"""How a command is declared: groups of options that reach its run as one value, and the run by its name."""

import shlex
from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from importlib import import_module
from typing import Any

import click

from analysis.errors import BadInput

ARGUMENTS = "fullturn.arguments"
"""Under this name a context knows what was typed after the name of the program."""


def command_that_goes_on() -> str:
    """Return what was typed, which goes on where it was ended; a URL may hold a password and is left out."""
    arguments = click.get_current_context().meta.get(ARGUMENTS, ())
    return shlex.join(["fullturn", *("URL" if "://" in one else one for one in arguments)])


@dataclass(frozen=True)
class OptionGroup:
    """Options that several commands share: the run gets them as one value, by ``name``."""

    name: str
    made: Callable[..., Any]
    """Class of that value; its fields are the names of the options."""
    options: tuple[click.Option, ...]

    def pack(self, values: dict[str, Any]) -> dict[str, Any]:
        """Return the values of a command line with those of this group as one."""
        own = {option.name for option in self.options}
        others = {name: value for name, value in values.items() if name not in own}
        return {**others, self.name: self.made(**{name: values[name] for name in values.keys() & own})}


class Runs:
    """The callback of a command: ``"module:function"``, loaded when the command really runs."""

    def __init__(self, where: str, *groups: OptionGroup) -> None:
        self.where, self.groups = where, groups

    def function(self) -> Callable[..., int]:
        """Load the module and return what the command does."""
        module, _, name = self.where.partition(":")
        found: Callable[..., int] = getattr(import_module(module), name)
        return found

    def __call__(self, **values: Any) -> int:
        """Run with the values of the command line and return the exit status."""
        for group in self.groups:
            values = group.pack(values)
        return self.function()(**values)


class Subcommands(click.Group):
    """A command of several, as ``gauge add``; any other word after it is refused with what there is."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in self.commands:
            nearest = get_close_matches(args[0], self.commands, n=1)
            guess = f"; did you mean {nearest[0]}?" if nearest else ""
            raise BadInput(
                f"{self.name} {args[0]!r} is not one of {', '.join(self.commands)}{guess or ':'} "
                f"`fullturn {self.name} --help` tells what each does"
            )
        return super().resolve_command(ctx, args)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not args and not ctx.resilient_parsing:
            raise BadInput(
                f"{self.name} alone does nothing: write one of {', '.join(self.commands)} after it; "
                f"`fullturn {self.name} --help` tells what each does"
            )
        return super().parse_args(ctx, args)
