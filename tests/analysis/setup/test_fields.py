"""The table of set-up fields: every row is whole, and everything derived from it holds together."""

import pytest

from analysis.errors import BadInput
from analysis.setup import BY_KEY, FIELDS, FieldKind, Setup, SetupField, parse_setup

WRONG = {
    FieldKind.CHOICE: ("sideways", "is not one of"),
    FieldKind.LENGTH: ("110", "write it with one, as 110 mm"),
    FieldKind.NUMBER: ("half", "write one like"),
    FieldKind.WHOLE: ("7.5", "from 3 to 360"),
    FieldKind.CHANNEL: ("16", "from 0 to 15"),
    FieldKind.CLOCK: ("13", "from 1 to 12"),
    FieldKind.HOLES: ("10 top", "write one like"),
    FieldKind.ANGLE: ("-30", "from 0 to 360 degrees: write the same place as 330"),
    FieldKind.ANGLES: ("0 120 361", "from 0 to 360 degrees: write the same place as 1"),
    FieldKind.TORQUE: ("-60", "is below zero: write it like 60 Nm"),
    FieldKind.DATE: ("31.03.2026", "is no date: write it like 2026-03-31"),
    FieldKind.DELAY: ("30", "does not end in ms: write it like"),
    FieldKind.TEMPERATURE: ("20", "does not end in C or F: write it like"),
    FieldKind.PAIRS: ("0:0", "does not end in a unit: write it like"),
}
"""A value each kind cannot take, and what the refusal says is expected."""

each_field = pytest.mark.parametrize("field", FIELDS, ids=[field.key for field in FIELDS])


def test_no_key_and_no_label_stands_twice() -> None:
    labels = [field.label for field in FIELDS if field.label]
    assert len(BY_KEY) == len(FIELDS)
    assert len(set(labels)) == len(labels)


def test_every_value_of_a_set_up_has_its_field() -> None:
    of_fields = {field.attribute for field in FIELDS if field.attribute}
    assert {*of_fields, "text", "limit", "unknown", "unused"} == set(Setup.__dataclass_fields__)


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
    if field.kind is FieldKind.TEXT:
        assert parse_setup({field.key: "?"}).text[field.key] == "?"
        return
    found, expected = WRONG[field.kind]
    with pytest.raises(BadInput) as refused:
        parse_setup({field.key: found})
    said = str(refused.value)
    assert said.startswith(field.key)
    assert found.split()[-1] in said
    assert (expected if field.whole is None else f"from {field.whole[0]} to {field.whole[-1]}") in said


@each_field
def test_what_a_recording_keeps_and_cannot_be_is_not_used_and_said(field: SetupField) -> None:
    found, _ = WRONG.get(field.kind, ("", ""))
    setup = parse_setup({}, kept={"part": "hub", field.key: found} if found else {"part": "hub"})
    assert setup.unused.keys() == ({field.key} if found else set())
    assert setup.text["part"] == "hub"
    if found:
        assert setup.text[field.key] == found
        assert setup.unused[field.key].startswith(field.key)
    if field.attribute and field.key != "part":
        assert getattr(setup, field.attribute) == getattr(Setup(), field.attribute)


@each_field
def test_the_same_typed_on_top_is_refused(field: SetupField) -> None:
    if field.kind is not FieldKind.TEXT:
        with pytest.raises(BadInput, match=field.key):
            parse_setup({field.key: WRONG[field.kind][0]}, kept={field.key: field.example})


@each_field
def test_a_good_value_typed_takes_the_place_of_a_bad_one_kept(field: SetupField) -> None:
    found, _ = WRONG.get(field.kind, ("?", ""))
    typed = {"limit": "1 mm", "surface": "outside", field.key: field.example}
    assert parse_setup(typed, kept={field.key: found}).unused == {}


@pytest.mark.parametrize(
    ("kept", "why"),
    [
        ({"limit_quantity": "wobble"}, "limit_quantity 'wobble' is not one of"),
        ({"limit_radius": "0 mm"}, "limit_radius '0 mm' is not above zero"),
        ({"limit_quantity": "eccentricity"}, "a face has no eccentricity"),
        ({"limit": "0 mm"}, "no part runs true to nothing"),
    ],
)
def test_a_kept_limit_that_cannot_be_what_it_says_is_no_limit(kept: dict[str, str], why: str) -> None:
    setup = parse_setup({}, kept={"limit": "0.05 mm", **kept})
    assert setup.limit is None
    assert why in setup.unused["limit"]


def test_a_limit_says_whether_it_was_kept_or_typed() -> None:
    kept, typed = parse_setup({}, kept={"limit": "1 mm"}).limit, parse_setup({"limit": "1 mm"}).limit
    assert kept is not None
    assert typed is not None
    assert (kept.kept, typed.kept) == (True, False)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("gauge_angle", "75", "over 60 deg"),
        ("gauge_angle", "-5", "is below 0 (it is 0 to 60)"),
        ("u_counts_per_turn", "-1", "is below 0"),
        ("limit", "1e308 mm", "longer than a kilometre"),
        ("channel", "9" * 5000, "from 0 to 15"),
        ("holes", "9" * 5000, "holes"),
        ("holes", "12.5", "from 1 to 360"),
        ("holes", "-6", "from 1 to 360"),
        ("holes", "375:8", "from 0 to 360 degrees: write the same place as 15"),
        ("tip_radius", "-1 mm", "is not above zero: write it like 1.5 mm"),
        ("gauge_due", "2026-02-30", "is no date"),
    ],
)
def test_an_end_of_a_number_is_held(key: str, value: str, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_setup({key: value})
    assert words in str(refused.value)


@pytest.mark.parametrize("field", [field for field in FIELDS if field.positive], ids=lambda field: field.key)
def test_what_has_to_be_above_zero_is_refused_at_zero(field: SetupField) -> None:
    zero = "0 mm" if field.kind is FieldKind.LENGTH else "0"
    with pytest.raises(BadInput, match=f"{field.key} '{zero}' is not above zero"):
        parse_setup({field.key: zero})


def test_the_next_choice_comes_round_to_the_first() -> None:
    surface = BY_KEY["surface"]
    assert [surface.next_choice({"surface": word}) for word in surface.words] == ["outside", "bore", "face"]
    assert surface.next_choice({}, -1) == "bore"
