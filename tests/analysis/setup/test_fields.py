"""The table of set-up fields: every row is whole, and everything derived from it holds together."""

import pytest

from analysis.errors import BadInput
from analysis.setup import BY_KEY, FIELDS, Setup, SetupField, parse_setup
from analysis.setup.fields import FieldKind

READ_AS_TEXT = (FieldKind.TEXT, FieldKind.ANGLES, FieldKind.DATE, FieldKind.PAIRS)
"""Kinds that the parser of set-ups leaves as they are."""
WRONG = {
    FieldKind.CHOICE: ("sideways", "is not one of"),
    FieldKind.LENGTH: ("110", "write it with one, as 110 mm"),
    FieldKind.NUMBER: ("half", "write one like"),
    FieldKind.WHOLE: ("7.5", "from 3 to 360"),
    FieldKind.CHANNEL: ("16", "from 0 to 15"),
    FieldKind.CLOCK: ("13", "from 1 to 12"),
    FieldKind.HOLES: ("10 top", "write one like"),
}
"""A value each kind cannot take, and what the refusal says is expected."""

each_field = pytest.mark.parametrize("field", FIELDS, ids=[field.key for field in FIELDS])


def test_no_key_and_no_label_stands_twice() -> None:
    labels = [field.label for field in FIELDS if field.label]
    assert len(BY_KEY) == len(FIELDS)
    assert len(set(labels)) == len(labels)


def test_every_value_of_a_set_up_has_its_field() -> None:
    of_fields = {field.attribute for field in FIELDS if field.attribute}
    assert {*of_fields, "text", "limit", "unknown"} == set(Setup.__dataclass_fields__)


@each_field
def test_an_example_is_taken_and_says_something(field: SetupField) -> None:
    given = {"limit": "1 mm", "surface": "outside", field.key: field.example}
    setup = parse_setup(given)
    assert setup.text[field.key] == field.example
    assert setup.unknown == ()
    if field.attribute:
        assert getattr(setup, field.attribute) != getattr(Setup(), field.attribute)


@each_field
def test_a_default_is_what_holds_where_nothing_is_written(field: SetupField) -> None:
    assert parse_setup({field.key: field.default} if field.default else {}) == Setup(
        text={field.key: field.default} if field.default else {}
    )


@each_field
def test_a_field_with_a_list_has_its_default_and_example_on_it(field: SetupField) -> None:
    assert (field.choices is not None) == (field.kind is FieldKind.CHOICE)
    if field.choices is not None:
        assert {field.default, field.example} <= set(field.words)
        assert set((field.spellings or {}).values()) <= set(field.words)


@each_field
def test_a_refusal_names_the_key_what_was_found_and_what_is_taken(field: SetupField) -> None:
    if field.kind in READ_AS_TEXT:
        assert parse_setup({field.key: "?"}).text[field.key] == "?"
        return
    found, expected = WRONG[field.kind]
    with pytest.raises(BadInput) as refused:
        parse_setup({field.key: found})
    said = str(refused.value)
    assert said.startswith(field.key)
    assert found.split()[-1] in said
    assert expected in said


@pytest.mark.parametrize("field", [field for field in FIELDS if field.positive], ids=lambda field: field.key)
def test_what_has_to_be_above_zero_is_refused_at_zero(field: SetupField) -> None:
    zero = "0 mm" if field.kind is FieldKind.LENGTH else "0"
    with pytest.raises(BadInput, match=f"{field.key} '{zero}' is not above zero"):
        parse_setup({field.key: zero})


def test_the_next_choice_comes_round_to_the_first() -> None:
    surface = BY_KEY["surface"]
    assert [surface.next_choice({"surface": word}) for word in surface.words] == ["outside", "bore", "face"]
    assert surface.next_choice({}, -1) == "bore"
