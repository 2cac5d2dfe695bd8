"""What a command declares is what its run takes: the two lie apart, and only a name ties them."""

import inspect
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import click
import pytest

from logger.commands import ALIASES, TABLE, cli
from logger.commands.declaring import Runs


def command_named(name: str) -> click.Command:
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    return command


def run_of(command: click.Command) -> Runs:
    assert isinstance(command.callback, Runs)
    return command.callback


def commands() -> Iterator[tuple[str, click.Command]]:
    """Yield every command that runs, with the words it is called by; of several under one name, each."""
    for name in TABLE:
        command = command_named(name)
        if isinstance(command, click.Group):
            yield from ((f"{name} {word}", one) for word, one in command.commands.items())
        else:
            yield name, command


COMMANDS = dict(commands())


@pytest.mark.parametrize("name", COMMANDS)
def test_a_run_takes_what_its_command_declares(name: str):
    command = COMMANDS[name]
    declared = [parameter.name for parameter in command.params]
    groups = {group.name: group.made for group in run_of(command).groups}
    grouped = [option.name for group in run_of(command).groups for option in group.options]
    assert len(set(declared)) == len(declared)
    assert set(grouped) <= set(declared)
    signature = inspect.signature(run_of(command).function(), eval_str=True)
    assert set(signature.parameters) == set(declared) - set(grouped) | set(groups)
    assert signature.return_annotation is int
    assert {one: signature.parameters[one].annotation for one in groups} == groups


@pytest.mark.parametrize("name", COMMANDS)
def test_a_run_lies_in_the_module_of_its_command(name: str):
    first, _, word = name.partition(" ")
    module, _, function = run_of(COMMANDS[name]).where.partition(":")
    assert module == f"logger.commands.run.{ALIASES.get(first, first).replace('-', '_')}"
    # One that lists several things is not called list: that is a word of the language.
    assert function.partition("_")[0] == (word or "run")
    assert COMMANDS[name].name == (word or ALIASES.get(name, name))


@pytest.mark.parametrize("name", COMMANDS)
def test_a_group_makes_its_value_of_its_own_options(name: str):
    for group in run_of(COMMANDS[name]).groups:
        assert is_dataclass(group.made)
        assert {field.name for field in fields(group.made)} == {option.name for option in group.options}


@pytest.mark.parametrize(("other_name", "name"), ALIASES.items())
def test_another_word_is_the_same_command(other_name: str, name: str):
    assert command_named(other_name) is command_named(name)
    assert {other_name, name} <= TABLE.keys()
