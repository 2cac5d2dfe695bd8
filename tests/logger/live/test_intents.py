"""What a person's intent leads to, and what takes it back, as values: no bench, no thread, no window."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, strategies as st
from live_values import ANSWER, COUNT, EXCLUDED, displayed, live_state, lived, wanted_of

from analysis.capture.angle_source import AngleSource
from analysis.capture.events import (
    CheckDone,
    Event,
    ExtremesCleared,
    MarkTouched,
    ReadingZeroed,
    RecordingNamed,
    StopPressed,
    SweepBroken,
    TurnExcluded,
    TurnStarred,
    WindowExcluded,
)
from analysis.capture.exclusions import Window
from analysis.setup.choices import MarkSide
from logger.live.state.effects import (
    CompleteSetup,
    KeepRecording,
    KeepSetup,
    Record,
    Refuse,
    WriteSetup,
)
from logger.live.state.intent_rules import AS_RECORDED, NOT_KEPT, VIEW_ONLY
from logger.live.state.messages import (
    ChangeSetup,
    ClearExtremes,
    EnterSetup,
    ExcludeTurn,
    ExcludeWindow,
    Intent,
    NameRecording,
    Note,
    RecordingKept,
    SetupCompleted,
    ShowText,
    TakeTurn,
    TouchMark,
    Undo,
    ZeroReading,
)
from logger.live.state.reading import LiveReading
from logger.live.state.state import Role
from logger.live.state.update import update

KEYWAY = Window(40.0, 52.0, "keyway")


RECORDED: list[tuple[Intent, Event]] = [
    (TouchMark(MarkSide.PART), MarkTouched(MarkSide.PART, COUNT)),
    (TakeTurn(), TurnStarred(0, 0.0, 8.0)),
    (ZeroReading(), ReadingZeroed(1.25)),
    (ClearExtremes(), ExtremesCleared()),
    (ExcludeTurn("slipped"), EXCLUDED),
    (ExcludeWindow(KEYWAY), WindowExcluded(id=1, from_deg=40.0, to_deg=52.0, reason="keyway")),
]
"""What can be taken back, and the event that is recorded of it."""
NOTED = CheckDone("still", "clear", "0.2 um")


@pytest.mark.parametrize(("intent", "event"), [*RECORDED, (Note(NOTED), NOTED)])
@pytest.mark.parametrize("role", [Role.OWNER, Role.PRACTICE])
def test_an_intent_is_recorded_and_counts_only_once_it_has_come_back(
    intent: Intent, event: Event, role: Role
) -> None:
    state = live_state(role)
    after, wanted = update(state, intent)
    assert wanted[0] == Record(event)
    assert displayed(after) == displayed(state)


@pytest.mark.parametrize("intent", [*(intent for intent, _ in RECORDED), Note(NOTED), Undo()])
def test_who_only_follows_is_told_so_and_nothing_is_recorded(intent: Intent) -> None:
    state = live_state(Role.FOLLOW)
    after, wanted = update(state, intent)
    assert wanted == (ShowText(VIEW_ONLY),)
    assert (displayed(after), after.undo) == (displayed(state), ())


@pytest.mark.parametrize("intent", [ChangeSetup({"part": "hub"}), EnterSetup({"limit": "3 thou"})])
def test_who_only_follows_is_refused_a_change_of_the_set_up(intent: Intent) -> None:
    assert update(live_state(Role.FOLLOW), intent)[1] == (Refuse(VIEW_ONLY),)


@pytest.mark.parametrize("intent", [*(intent for intent, _ in RECORDED), Undo()])
def test_a_replay_counts_as_it_was_recorded(intent: Intent) -> None:
    state = live_state(Role.REPLAY)
    after, wanted = update(state, intent)
    assert wanted == (ShowText(AS_RECORDED),)
    assert displayed(after) == displayed(state)


@pytest.mark.parametrize("intent", [intent for intent, _ in RECORDED])
def test_what_was_done_is_taken_back(intent: Intent) -> None:
    before = live_state()
    done = lived(before, intent)
    assert displayed(done) != displayed(before)
    back = lived(done, Undo())
    assert (displayed(back), back.undo) == (displayed(before), ())
    assert (back.sweep.turns, back.analysis) == (before.sweep.turns, before.analysis)
    assert lived(back, Undo()).display.message == "nothing to take back"


@given(
    intents=st.lists(st.sampled_from([intent for intent, _ in RECORDED]), max_size=12),
    started=st.sampled_from([(), (TouchMark(MarkSide.PART),), (ZeroReading(), TakeTurn())]),
)
def test_taking_everything_back_the_last_first_brings_back_what_was_shown(
    intents: list[Intent], started: tuple[Intent, ...]
) -> None:
    before = replace(lived(live_state(), *started), undo=())
    state, shown = before, [displayed(before)]
    for intent in intents:
        after = lived(replace(state, sweep=replace(state.sweep, turns=before.sweep.turns)), intent)
        if len(after.undo) > len(state.undo):
            shown.append(displayed(after))
        state = after
    while state.undo:
        assert displayed(state) == shown.pop()
        state = lived(state, Undo())
    assert displayed(state) == shown.pop() == displayed(before)


def test_the_second_mark_is_taken_back_to_the_first() -> None:
    state = lived(live_state(), TouchMark(MarkSide.PART))
    state = replace(state, board=replace(state.board, count=2000))
    assert lived(state, TouchMark(MarkSide.PART), Undo()).board.part_mark == COUNT


@pytest.mark.parametrize("count", [COUNT, COUNT + 700], ids=["the same place", "another place"])
def test_a_mark_taken_back_brings_turns_and_answer_back(count: int) -> None:
    first = lived(live_state(turns=0), TouchMark(MarkSide.PART))
    turned = replace(first, analysis=ANSWER).with_sweep(turns=live_state(turns=3).sweep.turns)
    there = replace(turned, board=replace(turned.board, count=count))
    anew = lived(there, TouchMark(MarkSide.PART))
    assert (anew.sweep.turns, anew.analysis) == ((), None)
    back = lived(anew, Undo())
    assert (back.sweep.turns, back.analysis) == (turned.sweep.turns, ANSWER)
    assert back.revision > turned.revision  # what was analysed meanwhile is analysed again


def test_marks_taken_back_one_after_the_other_bring_each_ones_turns_back() -> None:
    state = live_state(turns=3)
    for count in (COUNT, COUNT + 700, COUNT + 1400):
        state = replace(state, board=replace(state.board, count=count))
        state = lived(state, TouchMark(MarkSide.PART)).with_sweep(turns=live_state(turns=1).sweep.turns)
    state = lived(state, Undo(), Undo(), Undo())
    assert (len(state.sweep.turns), state.sweep.mark) == (3, None)


def test_a_mark_touched_at_the_same_place_a_third_time_begins_anew() -> None:
    turned = lived(live_state(turns=0), TouchMark(MarkSide.PART))
    turned = turned.with_sweep(turns=live_state(turns=3).sweep.turns)
    again = lived(turned, TouchMark(MarkSide.PART), TouchMark(MarkSide.PART))
    assert again.sweep.turns == ()


def test_a_sweep_that_broke_is_broken_again_once_its_new_mark_is_taken_back() -> None:
    broken = lived(live_state(turns=2), SweepBroken("somebody pressed zero"))
    back = lived(broken, TouchMark(MarkSide.PART), Undo())
    assert (back.sweep.broken, back.sweep.turns) == ("somebody pressed zero", ())


@pytest.mark.parametrize(
    ("source", "words"),
    [("encoder", "no counts yet"), ("index", "turn past it"), ("stops", "first place"),
     ("steady", "its start"), ("none", "no counts yet")],
)  # fmt: skip
def test_without_counts_a_mark_says_why_it_cannot_be_touched(source: str, words: str) -> None:
    state = live_state()
    for board in (
        replace(state.board, count=None, angle_source=AngleSource(source)),
        replace(state.board, counts_per_turn=0.0, angle_source=AngleSource(source)),
    ):
        (said,) = wanted_of(replace(state, board=board), TouchMark(MarkSide.PART))
        assert isinstance(said, ShowText)
        assert words in said.words


@pytest.mark.parametrize(("stage", "touched"), [("as found", False), ("on the lathe", True)])
def test_the_arbor_s_mark_is_touched_on_the_lathe_alone(stage: str, touched: bool) -> None:
    wanted = wanted_of(live_state(setup={"stage": stage}), TouchMark(MarkSide.ARBOR))
    assert (Record(MarkTouched(MarkSide.ARBOR, COUNT)) in wanted) == touched


@pytest.mark.parametrize("intent", [TakeTurn(), ExcludeTurn("slipped")])
def test_without_a_turn_there_is_nothing_to_star_or_to_exclude(intent: Intent) -> None:
    (said,) = wanted_of(live_state(turns=0), intent)
    assert isinstance(said, ShowText)
    assert said.words.startswith("no full turn yet")


def test_without_a_reading_there_is_nothing_to_zero() -> None:
    assert wanted_of(replace(live_state(), reading=LiveReading()), ZeroReading()) == (
        ShowText("no reading yet"),
    )


def test_a_turn_has_one_star() -> None:
    starred = lived(live_state(), TakeTurn())
    assert wanted_of(starred, TakeTurn()) == (ShowText("turn 1 has its star already"),)


def test_with_stops_the_place_is_taken() -> None:
    state = live_state()
    by_stops = replace(state, board=replace(state.board, angle_source=AngleSource.STOPS))
    assert wanted_of(by_stops, TakeTurn()) == (Record(StopPressed()),)


def test_the_turn_that_was_meant_is_left_out_however_many_have_ended_since() -> None:
    state = live_state(turns=3)
    meant = state.sweep.turns[0]
    (record, said) = wanted_of(state, ExcludeTurn("chip", meant))
    assert isinstance(record, Record)
    assert isinstance(record.event, TurnExcluded)
    assert (record.event.turn, record.event.from_s, record.event.to_s) == (0, meant.start_s, meant.end_s)
    assert said == ShowText("turn 1 is left out: chip")


def test_a_turn_that_is_left_out_never_heads_the_page() -> None:
    state = lived(live_state(turns=2), ExcludeTurn("chip"))
    assert state.sweep.heading == state.sweep.turns[0]
    assert lived(state, ExcludeTurn("chip too")).sweep.heading is None
    assert lived(state, Undo()).sweep.heading == state.sweep.turns[1]


def test_exclusions_have_numbers_of_their_own() -> None:
    state = lived(live_state(), ExcludeTurn("slipped"), ExcludeWindow(KEYWAY))
    assert [one.id for one in state.sweep.excluded] == [1, 2]
    assert [one.id for one in lived(state, Undo()).sweep.excluded] == [1]


def test_a_recording_is_kept_under_its_name_and_that_is_recorded() -> None:
    state = replace(live_state(), recording=Path("unnamed.mcap"))
    assert update(state, NameRecording("job 7"))[1] == (KeepRecording("job 7"),)
    kept, wanted = update(state, RecordingKept(Path("job 7.mcap")))
    assert kept.named == Path("job 7.mcap")
    assert wanted == (Record(RecordingNamed("job 7.mcap")), ShowText("kept as job 7.mcap"))
    assert update(live_state(Role.REPLAY), NameRecording("job 7"))[1] == (
        Refuse("nothing is being recorded here"),
    )


def test_a_change_of_the_set_up_is_written_whole_without_what_is_empty() -> None:
    state = live_state(setup={"part": "hub", "operator": "A"})
    assert update(state, ChangeSetup({"operator": " ", "limit": "3 thou"}))[1] == (
        WriteSetup({"part": "hub", "limit": "3 thou"}),
    )


def test_an_entered_set_up_is_kept_for_board_and_part() -> None:
    state = replace(live_state(setup={"part": "hub"}), board_name="board 1")
    text = {"part": "hub", "limit": "3 thou"}
    assert update(state, EnterSetup({"limit": "3 thou"}))[1] == (
        WriteSetup(text), KeepSetup("board 1", text), ShowText("kept for this board and this part"),
    )  # fmt: skip


def test_a_part_named_anew_brings_what_was_kept_of_it() -> None:
    state = live_state(setup={"part": "hub"})
    assert update(state, EnterSetup({"part": "wheel"}))[1] == (CompleteSetup("wheel", {"part": "wheel"}),)
    wanted = update(state, SetupCompleted({"part": "wheel", "limit": "3 thou"}))[1]
    assert wanted[0] == WriteSetup({"part": "wheel", "limit": "3 thou"})


def test_a_replay_keeps_no_set_up() -> None:
    state = live_state(Role.REPLAY)
    assert update(state, EnterSetup({"limit": "3 thou"}))[1] == (
        WriteSetup({"limit": "3 thou"}), ShowText(NOT_KEPT),
    )  # fmt: skip


@given(st.sampled_from([intent for intent, _ in RECORDED]), st.sampled_from(list(Role)))
def test_update_is_pure(intent: Intent, role: Role) -> None:
    state = live_state(role)
    assert update(state, intent) == update(state, intent)
    assert state == live_state(role)
