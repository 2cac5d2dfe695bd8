"""What a command declares is what its run takes: the two lie apart, and only a name ties them."""

import inspect
from dataclasses import fields, is_dataclass

import click
import pytest

from logger.commands import ALIASES, TABLE, cli
from logger.commands.declaring import Runs


def command_named(name: str) -> click.Command:
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    return command


def run_of(name: str) -> Runs:
    callback = command_named(name).callback
    assert isinstance(callback, Runs)
    return callback


@pytest.mark.parametrize("name", TABLE)
def test_a_run_takes_what_its_command_declares(name: str):
    declared = [parameter.name for parameter in command_named(name).params]
    groups = {group.name: group.made for group in run_of(name).groups}
    grouped = [option.name for group in run_of(name).groups for option in group.options]
    assert len(set(declared)) == len(declared)
    assert set(grouped) <= set(declared)
    signature = inspect.signature(run_of(name).function(), eval_str=True)
    assert set(signature.parameters) == set(declared) - set(grouped) | set(groups)
    assert signature.return_annotation is int
    assert {one: signature.parameters[one].annotation for one in groups} == groups


@pytest.mark.parametrize("name", TABLE)
def test_a_run_lies_in_the_module_of_its_command(name: str):
    other_name = ALIASES.get(name, name).replace("-", "_")
    assert run_of(name).where == f"logger.commands.run.{other_name}:run"
    assert command_named(name).name == ALIASES.get(name, name)


@pytest.mark.parametrize("name", TABLE)
def test_a_group_makes_its_value_of_its_own_options(name: str):
    for group in run_of(name).groups:
        assert is_dataclass(group.made)
        assert {field.name for field in fields(group.made)} == {option.name for option in group.options}


@pytest.mark.parametrize(("other_name", "name"), ALIASES.items())
def test_another_word_is_the_same_command(other_name: str, name: str):
    assert command_named(other_name) is command_named(name)
    assert {other_name, name} <= TABLE.keys()
