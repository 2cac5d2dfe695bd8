"""Events between words and values: nothing that was written is lost, and only what fits a kind has a meaning."""

import ast
import json
from dataclasses import MISSING, fields
from types import NoneType
from typing import Any, get_args, get_origin

import pytest
from hypothesis import given, strategies as st
from places import REFERENCE, ROOT

from analysis.capture import events
from analysis.capture.event_words import UnknownEvent, decode, encode, key_of
from analysis.capture.events import (
    WORD,
    CheckDone,
    Event,
    GapCause,
    LinkLost,
    LinkReopened,
    MarkTouched,
    StopPressed,
    SweepBroken,
    TurnExcluded,
    WindowExcluded,
)
from analysis.setup import MarkSide
from logger.recording import RecordingReader
from logger.stream import RecordedEvent

KINDS = sorted({kind for kinds in events.REGISTRY.values() for kind in kinds}, key=lambda kind: kind.__name__)
CHECK_NAMES = [word for word, kinds in events.REGISTRY.items() if CheckDone in kinds]
WRITTEN = [
    encode(item.event)
    for item in RecordingReader(REFERENCE / "recording_every_event.mcap").items()
    if isinstance(item, RecordedEvent)
]


def values(wanted: Any) -> st.SearchStrategy[Any]:
    """Return values a field of this type may have."""
    if get_origin(wanted) is tuple:
        return st.tuples(*map(values, get_args(wanted)))
    if NoneType in get_args(wanted):
        return st.none() | values(get_args(wanted)[0])
    if wanted is float:
        return st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**9), 10**9)
    return st.from_type(wanted)


def events_of(kind: type[Event]) -> st.SearchStrategy[Event]:
    """Return events of one kind with any values."""
    given_values = {one.name: values(one.type) for one in fields(kind)}
    if kind is CheckDone:
        given_values["name"] = st.sampled_from(CHECK_NAMES)
    return st.builds(kind, **given_values)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
@given(data=st.data())
def test_an_event_of_any_kind_comes_back_from_json_as_it_was(kind: type[Event], data: st.DataObject) -> None:
    event = data.draw(events_of(kind))
    written = json.dumps(encode(event))
    again = decode(json.loads(written))
    assert again == event
    assert type(again) is kind
    assert json.dumps(encode(again)) == written


def test_every_event_of_the_frozen_recording_is_written_back_letter_by_letter() -> None:
    assert [json.dumps(encode(decode(one))) for one in WRITTEN] == [json.dumps(one) for one in WRITTEN]


def test_of_the_frozen_recording_two_events_alone_have_no_meaning() -> None:
    unknown = [one[WORD] for one in WRITTEN if isinstance(decode(one), UnknownEvent)]
    assert unknown == ["of-another-sender", "mark"]


@given(
    st.dictionaries(st.text(), st.recursive(st.none() | st.integers() | st.text(), st.lists, max_leaves=4))
)
def test_what_is_no_event_of_ours_is_kept_as_it_is(written: dict[str, Any]) -> None:
    assert decode(written) == UnknownEvent(written)
    assert encode(decode(written)) == written


@pytest.mark.parametrize("written", WRITTEN, ids=lambda written: written[WORD])
def test_an_event_that_lacks_a_field_is_kept_without_a_meaning(written: dict[str, Any]) -> None:
    needed = {key_of(one) for one in fields(decode(written)) if one.default is MISSING} - {WORD}
    for missing in needed & written.keys():
        lacking = {key: value for key, value in written.items() if key != missing}
        assert decode(lacking) == UnknownEvent(lacking)


@pytest.mark.parametrize(
    "written",
    [
        {"event": "mark", "on": "spindle", "count": 1},
        {"event": "mark", "on": "part", "count": 1.0},
        {"event": "mark", "on": "part", "count": True},
        {"event": "mark", "on": ["part"], "count": 1},
        {"event": "reading-zero", "reading_mm": "0.1"},
        {"event": "reading-zero", "reading_mm": float("inf")},
        {"event": "reading-zero", "reading_mm": 10**400},
        {"event": "ends-restored", "high": [0.1], "low": None},
        {"event": "ends-restored", "high": 0.1, "low": None},
        {"event": "gap", "why": "tired"},
        {"event": 3},
        {"event": None},
    ],
)
def test_an_event_whose_field_is_of_another_type_is_kept_without_a_meaning(written: dict[str, Any]) -> None:
    assert decode(written) == UnknownEvent(written)


@pytest.mark.parametrize(
    ("event", "written"),
    [
        (MarkTouched(MarkSide.ARBOR, -7), {"event": "mark", "on": "arbor", "count": -7}),
        (StopPressed(), {"event": "stop"}),
        (LinkLost(GapCause.UNPLUGGED), {"event": "gap", "why": "unplugged"}),
        (LinkLost(GapCause.LOST, link=1), {"event": "gap", "why": "lost", "link": 1}),
        (LinkReopened(), {"event": "reopened"}),
        (CheckDone("tap", "clear", "comes back"), {"event": "tap", "state": "clear", "text": "comes back"}),
        (SweepBroken(), {"event": "sweep-broken"}),
        (
            TurnExcluded(id=1, turn=2, from_s=16.5, to_s=24.0, reason="knocked"),
            {"event": "left-out", "id": 1, "turn": 2, "from_s": 16.5, "to_s": 24.0, "reason": "knocked"},
        ),
        (
            WindowExcluded(id=2, from_deg=350, to_deg=10.0, reason="keyway"),
            {"event": "left-out", "id": 2, "from_deg": 350, "to_deg": 10.0, "reason": "keyway"},
        ),
    ],
)
def test_what_is_not_told_is_not_written(event: Event, written: dict[str, Any]) -> None:
    assert json.dumps(encode(event)) == json.dumps(written)
    assert decode(written) == event


@pytest.mark.parametrize(
    ("written", "kind"),
    [
        ({"from_deg": 1, "to_deg": 2}, WindowExcluded),
        ({"id": 1, "from_s": 1.0, "to_s": 2.0, "reason": "knocked"}, TurnExcluded),
        ({"reason": "neither a turn nor a window"}, UnknownEvent),
    ],
)
def test_what_a_person_excluded_is_a_turn_or_a_window(written: dict[str, Any], kind: type[Event]) -> None:
    assert type(decode({"event": "left-out", **written})) is kind


def makes_or_reads_a_written_event(node: ast.AST) -> bool:
    """Tell whether code writes the key of an event's word, or asks for it."""
    match node:
        case ast.Dict(keys=keys):
            return any(isinstance(key, ast.Constant) and key.value == WORD for key in keys)
        case ast.Subscript(slice=ast.Constant(value="event")):
            return True
        case ast.Call(func=ast.Attribute(attr="get"), args=[ast.Constant(value="event"), *_]):
            return True
    return False


@pytest.mark.parametrize(
    "source", ['{"event": "mark"}', 'written["event"]', 'written.get("event")', 'written.get("event", "")']
)
def test_code_that_knows_a_written_event_is_found(source: str) -> None:
    assert any(map(makes_or_reads_a_written_event, ast.walk(ast.parse(source))))


def test_nobody_but_the_table_knows_how_an_event_is_written() -> None:
    paths = [path for package in ("analysis", "logger") for path in (ROOT / package).rglob("*.py")]
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in paths}
    knowing = [
        str(path.relative_to(ROOT))
        for path, tree in trees.items()
        if any(map(makes_or_reads_a_written_event, ast.walk(tree)))
    ]
    assert knowing == []
