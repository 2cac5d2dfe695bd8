"""What the parser of the command line finds wrong, and what to do; every other error says that itself."""

from typing import Any

import click


def with_what_to_do(error: click.ClickException) -> str:
    """Return the parser's own sentence and what to type instead."""
    found = error.format_message().rstrip(".")
    context = getattr(error, "ctx", None)
    help_of = f"`{context.command_path if context else 'fullturn'} --help`"
    match error:
        case click.NoSuchOption(possibilities=[nearest, *_]):
            found = f"No such option {error.option_name!r}"
            return f"{found}, did you mean {nearest}? {help_of} lists them"
        case click.NoSuchOption():
            return f"No such option {error.option_name!r}: {help_of} lists them"
        case click.MissingParameter():
            return f"{found}: {help_of} shows how it is typed"
        case click.BadOptionUsage():
            do = "leave it out" if "does not take" in found else "write it after it"
            return f"{found}: {do}; {help_of} shows how it is typed"
        case click.BadParameter(param=click.Parameter(type=type_)):
            return f"{found}: {_to_take(type_)}; {help_of} tells what it is"
        case _:
            return f"{found}: leave it out, or put what has blanks in quotes; {help_of} shows how it is typed"


def _to_take(type_: "click.ParamType[Any]") -> str:
    match type_:
        case click.Choice():
            return "take one of these"
        case click.IntRange() | click.FloatRange():
            return "take one from it"
        case _:
            return "write a whole number" if type_ is click.INT else "correct it"
