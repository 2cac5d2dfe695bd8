"""What a message does to a live session, as values: no bench, no thread, no window."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, strategies as st
from live_values import COUNT, live_state, lived, turn_ended
from places import REFERENCE

from analysis.capture.angle_source import AngleSource
from analysis.capture.events import (
    BoardRestarted,
    ButtonPressed,
    CheckDone,
    Event,
    ExclusionUndone,
    ExtremesCleared,
    ExtremesRestored,
    GapCause,
    LinkLost,
    LinkReopened,
    MarkTouched,
    MarkUndone,
    ReadingZeroed,
    RecordingNamed,
    StarUndone,
    StopPressed,
    SweepBroken,
    TurnExcluded,
    TurnStarred,
    WindowExcluded,
)
from analysis.capture.exclusions import Window
from analysis.errors import LinkError
from analysis.setup.choices import MarkSide
from logger.live.state.effects import (
    Announce,
    AwaitReading,
    ClearPass,
    CompleteSetup,
    DrawStop,
    DrawTurn,
    KeepRecording,
    KeepSetup,
    MeetBoard,
    PressPrimary,
    Record,
    Refuse,
    RingBells,
    SetExtremes,
    StoreNote,
    StoreTurn,
    WriteSetup,
)
from logger.live.state.intent_rules import NOT_KEPT, VIEW_ONLY
from logger.live.state.messages import (
    AnalysisDone,
    BoardAnswered,
    ChangeSetup,
    CheckIndicator,
    ClearExtremes,
    EnterSetup,
    ExcludeTurn,
    ExcludeWindow,
    IndicatorPressed,
    Intent,
    MessageShown,
    NameRecording,
    Note,
    PlaceRead,
    ReadingEnded,
    RecordingKept,
    SetupCompleted,
    ShowText,
    TakeTurn,
    Ticked,
    TouchMark,
    Undo,
    ZeroReading,
)
from logger.live.state.reading import LiveReading
from logger.live.state.state import LinkState, LiveState, Role
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.update import update
from logger.recording import RecordingReader
from logger.stream import RecordedEvent

ANSWER = SweepSoFar(None, "too short", None, None, None)
KEYWAY = Window(40.0, 52.0, "keyway")
EXCLUDED = TurnExcluded(id=1, turn=0, from_s=0.0, to_s=8.0, reason="slipped")
EVENTS = [
    item.event
    for item in RecordingReader(REFERENCE / "recording_every_event.mcap").items()
    if isinstance(item, RecordedEvent)
]


def wanted_of(state: LiveState, message: Event | Intent) -> tuple[object, ...]:
    """Return what a message asks for, but that an event is announced."""
    return tuple(one for one in update(state, message)[1] if not isinstance(one, Announce))


def displayed(state: LiveState) -> tuple[object, ...]:
    """Return everything that can be taken back."""
    sweep, reading = state.sweep, state.reading
    excluded = frozenset(sweep.excluded)
    return state.display.zero_mm, sweep.starred, excluded, state.board.part_mark, reading.high, reading.low


# --- events ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("role", Role)
def test_every_event_is_taken_in_every_role_and_announced_last(role: Role) -> None:
    state = live_state(role)
    for event in EVENTS:
        state, wanted = update(state, event)
        assert wanted[-1] == Announce(event)


@pytest.mark.parametrize("role", [Role.OWNER, Role.PRACTICE, Role.REPLAY])
def test_owner_follower_and_replay_come_to_the_same_state_by_the_same_events(role: Role) -> None:
    owner, follower = live_state(role), live_state(Role.FOLLOW)
    for event in EVENTS:
        owner, follower = update(owner, event)[0], update(follower, event)[0]
    assert replace(owner, role=Role.FOLLOW) == follower


def test_a_lost_link_is_gone_and_waits_for_a_new_reading_once_it_is_there_again() -> None:
    gone = lived(live_state(), LinkLost(GapCause.UNPLUGGED))
    assert gone.link is LinkState.GONE
    waiting, wanted = update(gone, LinkReopened())
    assert (waiting.link, wanted[0]) == (LinkState.WAITING, AwaitReading())
    assert lived(replace(waiting, reading=LiveReading()), Ticked(0.0)).link is LinkState.WAITING
    assert lived(waiting, Ticked(0.0)).link is LinkState.HERE


@pytest.mark.parametrize(
    ("event", "why"),
    [(BoardRestarted(7), "the board restarted"), (SweepBroken("knocked"), "knocked")],
)
def test_what_breaks_a_sweep_takes_its_turns_and_its_strip(event: Event, why: str) -> None:
    broken, wanted = update(replace(live_state(), analysis=SweepSoFar(None, "", None, None, None)), event)
    assert (broken.sweep.turns, broken.sweep.broken, broken.analysis) == ((), why, None)
    assert wanted[:2] == (ClearPass(), SetExtremes())


def test_after_a_restart_the_mark_is_asked_for_until_it_is_touched() -> None:
    restarted = lived(live_state(), MarkTouched(MarkSide.PART, 3), BoardRestarted(7))
    assert (restarted.link, restarted.sweep.marked) == (LinkState.RESTARTED, False)
    touched = lived(restarted, MarkTouched(MarkSide.PART, 3))
    assert (touched.link, touched.sweep.marked, touched.sweep.broken) == (LinkState.HERE, True, "")


@pytest.mark.parametrize(("on", "left"), [(MarkSide.PART, 0), (MarkSide.ARBOR, 2)])
@pytest.mark.parametrize("undone", [False, True])
def test_a_mark_begins_the_turns_anew_where_angles_count_from_it(
    on: MarkSide, left: int, undone: bool
) -> None:
    after = lived(live_state(turns=2), MarkUndone(on) if undone else MarkTouched(on, 3))
    assert (len(after.sweep.turns), after.sweep.marked) == (left, not undone)


def test_a_star_is_given_and_taken_and_noted_in_the_store() -> None:
    starred, wanted = update(live_state(), TurnStarred(0, 0.0, 8.0))
    assert (starred.sweep.starred, wanted[0]) == ({0}, StoreNote(0, "star"))
    plain, wanted = update(starred, StarUndone(0))
    assert (plain.sweep.starred, wanted[0]) == (frozenset(), StoreNote(0, "star-undone"))


def test_an_excluded_turn_is_noted_in_the_store_and_analysed_anew_until_it_counts_again() -> None:
    state = live_state()
    out, wanted = update(state, EXCLUDED)
    assert (out.sweep.excluded, wanted[0]) == ((EXCLUDED,), StoreNote(0, "left-out", "slipped"))
    again, wanted = update(out, ExclusionUndone(1))
    assert (again.sweep.excluded, wanted[0]) == ((), StoreNote(0, "left-out-undone"))
    assert state.revision < out.revision < again.revision


def test_an_excluded_window_is_no_note_of_a_turn() -> None:
    event = WindowExcluded(id=1, from_deg=40.0, to_deg=52.0, reason="keyway")
    out = lived(live_state(), event)
    assert (out.sweep.excluded, wanted_of(live_state(), event)) == ((event,), ())
    assert wanted_of(out, ExclusionUndone(1)) == ()


def test_the_zero_is_of_the_display_and_the_extremes_are_the_readout_s() -> None:
    assert lived(live_state(), ReadingZeroed(1.2)).display.zero_mm == 1.2
    assert wanted_of(live_state(), ExtremesCleared()) == (SetExtremes(),)
    assert wanted_of(live_state(), ExtremesRestored((1.3, 60.0), None)) == (SetExtremes((1.3, 60.0)),)


def test_an_extreme_without_an_angle_comes_back_without_one() -> None:
    (back,) = wanted_of(live_state(), ExtremesRestored((1.3, None), None))
    assert isinstance(back, SetExtremes)
    assert back.high is not None
    assert back.high[0] == 1.3
    assert math.isnan(back.high[1])


@pytest.mark.parametrize("role", Role)
def test_the_board_s_button_is_a_press_of_its_owner_alone(role: Role) -> None:
    pressed = (PressPrimary(),) if role.owns_board else ()
    assert wanted_of(live_state(role), ButtonPressed(1, 5)) == pressed


# --- what else happens -------------------------------------------------------------------------------


def test_a_board_that_answers_has_a_name_and_is_met() -> None:
    here, wanted = update(replace(live_state(), link=LinkState.GONE), BoardAnswered("board 51ab0001"))
    assert (here.link, here.board_name, wanted) == (
        LinkState.HERE, "board 51ab0001", (MeetBoard("board 51ab0001"),),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("tir_mm", "gap_deg", "bells"), [(0.04, 2.0, [1]), (0.06, 13.0, []), (0.06, 2.0, [1])]
)
def test_a_turn_rings_once_where_it_is_clear_whatever_its_own_reading(
    tir_mm: float, gap_deg: float, bells: list[int]
) -> None:
    state = live_state(turns=0, setup={"limit": "0.05 mm"})
    ended = turn_ended(0, tir_mm, gap_deg)
    after, wanted = update(state, ended)
    assert after.sweep.turns == (ended.turn,)
    assert after.revision == state.revision + 1
    assert [one.times for one in wanted if isinstance(one, RingBells)] == bells
    assert StoreTurn(ended.samples) in wanted


def test_a_turn_of_a_broken_sweep_counts_nowhere() -> None:
    broken = lived(live_state(), SweepBroken("somebody pressed in/mm"))
    assert update(broken, turn_ended(2)) == (broken, ())


def test_no_more_turns_are_kept_than_the_newest_four_hundred() -> None:
    full = live_state(turns=400)
    after = lived(full, turn_ended(400))
    assert [one.result.turn for one in after.sweep.turns] == list(range(1, 401))


def test_a_turn_by_index_pulses_is_drawn_once_it_has_ended() -> None:
    state = live_state()
    by_index = replace(state, board=replace(state.board, angle_source=AngleSource.INDEX))
    drawn = [one for one in update(by_index, turn_ended(1))[1] if isinstance(one, DrawTurn)]
    assert drawn[0].reading_mm.tolist() == [0.5, 0.6]
    assert not [one for one in update(state, turn_ended(1))[1] if isinstance(one, DrawTurn)]


def test_stops_are_drawn_place_after_place_and_analysed_after_the_first_again() -> None:
    state = live_state(setup={"places": "4"})
    drawn, revisions = [], []
    for reading in (0.1, 0.2, 0.3, 0.4, 0.1, 0.5):
        state, wanted = update(state, PlaceRead(reading, "taken"))
        drawn += [one.deg for one in wanted if isinstance(one, DrawStop)]
        revisions.append(state.revision)
        assert (ClearPass() in wanted) == (len(drawn) in (1, 6))
        assert wanted[-1] == ShowText("taken")
    assert drawn == [0.0, 90.0, 180.0, 270.0, 0.0, 0.0]
    assert revisions == [0, 0, 0, 0, 1, 1]
    assert state.stops.readings_mm == (0.5,)


def test_a_stop_that_still_moved_changes_nothing() -> None:
    state = live_state(setup={"places": "4"})
    assert update(state, PlaceRead(None, "wait")) == (state, (ShowText("wait"),))


@pytest.mark.parametrize(
    ("source", "turns", "taken_over"),
    [("encoder", 1, True), ("encoder", 0, False), ("steady", 0, True), ("stops", 0, True)],
)
def test_an_analysis_of_turns_that_are_gone_is_not_shown(source: str, turns: int, taken_over: bool) -> None:
    state = live_state(turns=turns)
    state = replace(state, board=replace(state.board, angle_source=AngleSource(source)))
    analysis = ANSWER
    assert (lived(state, AnalysisDone(analysis)).analysis is analysis) == taken_over


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("checking", [False, True])
def test_a_press_of_the_indicator_s_button_breaks_the_sweep_but_in_its_check(
    role: Role, checking: bool
) -> None:
    state = lived(live_state(role), CheckIndicator(checking))
    recorded = (Record(SweepBroken("zero")),) if role.owns_board and not checking else ()
    assert update(state, IndicatorPressed("zero"))[1] == recorded


def test_the_end_is_said_with_its_reason() -> None:
    error = LinkError("gone")
    ended = lived(live_state(), ReadingEnded(error))
    assert (ended.ended, ended.error) == (True, error)


def test_a_message_goes_after_its_time() -> None:
    said = lived(live_state(), MessageShown("bells on", 6.0))
    assert lived(said, Ticked(6.0)).display.message == "bells on"
    assert lived(said, Ticked(6.1)).display.message == ""


# --- intents -----------------------------------------------------------------------------------------

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
@pytest.mark.parametrize("role", [Role.OWNER, Role.PRACTICE, Role.REPLAY])
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


@pytest.mark.parametrize("intent", [intent for intent, _ in RECORDED])
def test_a_replay_says_that_nothing_is_kept_once(intent: Intent) -> None:
    done = lived(live_state(Role.REPLAY), intent)
    assert done.display.message.startswith(f"{NOT_KEPT}: ")
    assert lived(done, ShowText("bells on")).display.message == "bells on"


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
