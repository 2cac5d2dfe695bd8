"""The table of set-up fields against the lists it takes the place of."""

from analysis.setup.fields import BY_KEY, FIELDS, CompareEffect, FieldGroup, FieldKind, KeptWith
from analysis.setup.setup import (
    CHOICES,
    CLOCK_KEYS,
    DEFAULTS,
    KNOWN_KEYS,
    LENGTH_KEYS,
    NUMBER_KEYS,
    TEXT_KEYS,
)
from logger.live.job.guide import LIMIT_KEYS
from logger.live.job.marks_to_touch import OWN_KEYS
from logger.live.job.practice_story import OF_THE_SITTING
from logger.live.tools import setup_form
from logger.settings.saved_setups import RIG_KEYS
from logger.studies.related_sweeps import SAME


def of(*kinds: FieldKind) -> set[str]:
    return {f.key for f in FIELDS if f.kind in kinds}


def test_the_table_says_what_the_lists_say() -> None:
    assert set(BY_KEY) == {*KNOWN_KEYS, "screws"}
    assert {f.key: f.choices for f in FIELDS if f.choices} == CHOICES
    assert {f.key: f.default for f in FIELDS if f.default} == DEFAULTS
    assert of(FieldKind.LENGTH) == set(LENGTH_KEYS)
    assert of(FieldKind.NUMBER, FieldKind.WHOLE) == set(NUMBER_KEYS)
    assert of(FieldKind.CLOCK) == set(CLOCK_KEYS)
    assert of(FieldKind.TEXT, FieldKind.DATE, FieldKind.PAIRS) == set(TEXT_KEYS)
    assert {f.key for f in FIELDS if f.kept_with is KeptWith.BENCH} == set(RIG_KEYS)
    assert {f.key for f in FIELDS if f.group is FieldGroup.LIMIT} == set(LIMIT_KEYS)
    assert {f.key for f in FIELDS if f.group is FieldGroup.MARK_TOUCHED} == set(OWN_KEYS)
    assert {f.key for f in FIELDS if f.of_one_sweep} == set(OF_THE_SITTING)
    assert {f.key for f in FIELDS if f.same_mounting} == set(SAME)
    assert [(f.key, f.label, f.hint) for f in FIELDS if f.label] == [
        (f.key, f.label, f.hint) for f in setup_form.FIELDS
    ]
    assert {f.key for f in FIELDS if f.compare is CompareEffect.NOTED} == {
        "torque", "gauge_type", "gauge_id", "turning", "operator",
    }  # fmt: skip
