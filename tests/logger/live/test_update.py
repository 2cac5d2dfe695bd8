"""What a recorded event and all else that happens does to a live session, as values: no bench, no window."""

import math
from dataclasses import replace

import pytest
from live_values import ANSWER, EXCLUDED, live_state, lived, turn_ended, wanted_of
from places import REFERENCE

from analysis.capture.angle_source import AngleSource
from analysis.capture.events import (
    BoardRestarted,
    ButtonPressed,
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
    StarUndone,
    SweepBroken,
    TurnStarred,
    WindowExcluded,
)
from analysis.errors import LinkError
from analysis.setup.choices import MarkSide
from logger.live.state.effects import (
    Announce,
    AwaitReading,
    ClearPass,
    DrawStop,
    DrawTurn,
    MeetBoard,
    PressPrimary,
    Record,
    RingBells,
    SetExtremes,
    StoreTurn,
)
from logger.live.state.messages import (
    AnalysisDone,
    BoardAnswered,
    CheckIndicator,
    IndicatorPressed,
    MessageShown,
    PlaceRead,
    ReadingEnded,
    ShowText,
    Ticked,
)
from logger.live.state.reading import LiveReading
from logger.live.state.state import LinkState, Role
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.update import update
from logger.recording import RecordingReader
from logger.stream import RecordedEvent

EVENTS = [
    item.event
    for item in RecordingReader(REFERENCE / "recording_every_event.mcap").items()
    if isinstance(item, RecordedEvent)
]


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


def test_a_star_is_given_and_taken() -> None:
    starred, _ = update(live_state(), TurnStarred(0, 0.0, 8.0))
    assert starred.sweep.starred == {0}
    plain, _ = update(starred, StarUndone(0))
    assert plain.sweep.starred == frozenset()


def test_an_excluded_turn_is_analysed_anew_until_it_counts_again() -> None:
    state = live_state()
    out, _ = update(state, EXCLUDED)
    assert out.sweep.excluded == (EXCLUDED,)
    again, _ = update(out, ExclusionUndone(1))
    assert again.sweep.excluded == ()
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
