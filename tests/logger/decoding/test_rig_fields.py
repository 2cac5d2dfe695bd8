"""The table of a rig's fields: every row can be written into a rig file, and what it cannot be is refused."""

import pytest

from analysis.errors import BadInput
from analysis.setup import BY_KEY, FieldKind, SetupField
from logger.decoding import rig_of_setup
from logger.decoding.rig_fields import RIG_BY_KEY, RIG_FIELDS, RIG_KEYS

PATTERN = {"rig.line.pattern": "(?P<reading>[-+0-9.]+)"}

each_field = pytest.mark.parametrize("field", RIG_FIELDS, ids=[field.key for field in RIG_FIELDS])


def test_no_key_stands_twice_or_is_one_of_the_set_up() -> None:
    assert len(RIG_BY_KEY) == len(RIG_FIELDS)
    assert len(set(RIG_KEYS)) == 2 * len(RIG_FIELDS)
    assert not set(RIG_KEYS) & set(BY_KEY)


@each_field
@pytest.mark.parametrize("port", ["", "second."])
def test_an_example_is_taken_by_either_port(field: SetupField, port: str) -> None:
    patterns = {f"rig.{each}line.pattern": PATTERN["rig.line.pattern"] for each in {"", port}}
    key = f"rig.{port}{field.key}"
    rig = rig_of_setup({**patterns, key: field.example})
    assert rig is not None
    assert dict(rig.text)[key] == field.example


@each_field
def test_a_default_is_what_holds_where_nothing_is_written(field: SetupField) -> None:
    bare, said = (
        rig_of_setup({**PATTERN, **more})
        for more in ({}, {f"rig.{field.key}": field.default} if field.default else {})
    )
    assert bare is not None
    assert said is not None
    assert (bare.line, bare.port, bare.counts_per_turn) == (said.line, said.port, said.counts_per_turn)


@pytest.mark.parametrize(
    "field", [field for field in RIG_FIELDS if field.kind is not FieldKind.TEXT], ids=lambda field: field.key
)
def test_a_refusal_names_the_key_and_what_was_found(field: SetupField) -> None:
    with pytest.raises(BadInput, match=rf"{field.key} '\?' is not"):
        rig_of_setup({**PATTERN, f"rig.{field.key}": "?"})
