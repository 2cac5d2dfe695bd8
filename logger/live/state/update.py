"""Every rule of what a message does to a live session: the next state, and what is to be done outside.

Pure: the same state and message always give the same. Nothing a person wants counts before its event has come
back through the worker, so that owner, follower and replay see the same.
"""

import math
from dataclasses import replace
from typing import assert_never

from analysis.capture import AngleSource, events
from analysis.capture.events import Event
from analysis.setup import MarkSide
from logger.live.state import effects, messages, undo
from logger.live.state.effects import Effect, Record
from logger.live.state.messages import Intent, Message, Say
from logger.live.state.state import MOST_TURNS, LinkState, LiveState, Role
from logger.live.state.stop_places import places_of

VIEW_ONLY = "view only: the window that owns the port can do that"
NOT_KEPT = "a replay: not kept"
NO_MARK = {
    AngleSource.INDEX: "the index pulse is the mark here: turn past it",
    AngleSource.STOPS: "no mark with stops: the first place is angle 0",
    AngleSource.STEADY: "no mark with a steady spin: angles count from its start",
}
"""Why a mark cannot be touched where the angle is no count."""
NO_COUNTS = "no counts yet: is the encoder connected?"
NO_ARBOR = "the arbor's mark is for steps on the lathe: choose the stage in Set-up (2)"
CLEAR_GAP_DEG = 12.0
"""A turn without a larger gap is clear, and rings once."""
WHOLE_ONLY = (AngleSource.STEADY, AngleSource.STOPS)
"""Where angles come from so, there are no turns before the sweep is looked at whole."""

Updated = tuple[LiveState, tuple[Effect, ...]]


def update(state: LiveState, message: Message) -> Updated:
    """Return the state after a message, and what is to be done."""
    if isinstance(message, Event):
        after, wanted = came_back(state, message)
        return after, (*wanted, effects.Announce(message))
    match message:
        case messages.Ticked(now_s):
            return _ticked(state, now_s), ()
        case messages.BoardAnswered(name):
            return replace(state, link=LinkState.HERE, board_name=name), (effects.MeetBoard(name),)
        case messages.TurnEnded():
            return _turn_ended(state, message)
        case messages.StopTaken(reading_mm, words):
            return _stop_taken(state, reading_mm, words)
        case messages.AnalysisDone(analysis):
            source = state.board.angle_source
            taken_over = bool(state.sweep.turns) or source in WHOLE_ONLY
            drawn = analysis.last_turn if source is AngleSource.STEADY else None
            wanted = () if drawn is None else (effects.DrawTurn(*drawn),)
            return replace(state, analysis=analysis) if taken_over else state, wanted
        case messages.IndicatorPressed(why):
            breaks = state.role.owns_board and not state.checking
            return state, (Record(events.SweepBroken(why)),) if breaks else ()
        case messages.ReadingEnded(error):
            return replace(state, ended=True, error=error), ()
        case messages.MessageShown(words, until_s):
            note = f"{NOT_KEPT}: " if state.display.not_kept else ""
            shown = replace(state.display, message=note + words, until_s=until_s, not_kept=False)
            return replace(state, display=shown), ()
        case messages.RecordingKept(path):
            named = replace(state, named=path)
            return _recorded(named, events.RecordingNamed(path.name), f"kept as {path}")
        case messages.SetupCompleted(changes):
            return _setup_completed(state, dict(changes))
        case _:
            return asked(state, message)


# --- what has happened -------------------------------------------------------------------------------


def _ticked(state: LiveState, now_s: float) -> LiveState:
    if state.link is LinkState.WAITING and state.reading.new_ns is not None:
        state = replace(state, link=LinkState.HERE)
    if state.display.message and now_s > state.display.until_s:
        state = replace(state, display=replace(state.display, message=""))
    return state


def _turn_ended(state: LiveState, ended: messages.TurnEnded) -> Updated:
    turn, limit_mm = ended.turn, state.limit_mm
    over = limit_mm is not None and turn.result.tir_raw_mm > limit_mm
    wanted: list[Effect] = []
    if state.board.angle_source is AngleSource.INDEX:
        where, samples = ended.samples.turn.where, ended.samples.capture.samples
        wanted.append(effects.DrawTurn(samples.angle_rad[where], samples.reading_mm[where]))
    wanted.append(effects.StoreTurn(ended.samples))
    if over and not state.sweep.over_limit:
        wanted.append(effects.RingBells(2))
    elif turn.result.largest_gap_deg <= CLEAR_GAP_DEG:
        wanted.append(effects.RingBells(1))
    turns = (*state.sweep.turns, turn)[-MOST_TURNS:]
    return _changed(state.with_sweep(turns=turns, over_limit=over)), tuple(wanted)


def _stop_taken(state: LiveState, reading_mm: float | None, words: str) -> Updated:
    places = places_of(state.setup)
    if reading_mm is None or not places:
        return state, (Say(words),)
    first = len(state.stops.readings_mm) in (0, places + 1)
    stops, deg = state.stops.take(places, reading_mm)
    state = replace(state, stops=stops)
    if len(stops.readings_mm) == places + 1:
        state = _changed(state)
    wanted = (effects.ClearPass(),) if first else ()
    return state, (*wanted, effects.DrawStop(deg, reading_mm), Say(words))


def _changed(state: LiveState) -> LiveState:
    """Return it with one more change for the analysis to follow."""
    return replace(state, revision=state.revision + 1)


# --- events that have come back ----------------------------------------------------------------------


def came_back(state: LiveState, event: Event) -> Updated:
    """Return what a recorded event means: the same for owner, follower and replay."""
    match event:
        case events.LinkLost():
            return replace(state, link=LinkState.GONE), ()
        case events.LinkReopened():
            return replace(state, link=LinkState.WAITING), (effects.AwaitReading(),)
        case events.BoardRestarted():
            return _broken(
                replace(state, link=LinkState.RESTARTED).with_sweep(marked=False), "the board restarted"
            )
        case events.MarkTouched(on=on):
            here = state.link is LinkState.RESTARTED
            state = replace(state, link=LinkState.HERE if here else state.link)
            return _begun_anew(state.with_sweep(marked=True, broken=""), on), ()
        case events.MarkUndone(on=on):
            return _begun_anew(state.with_sweep(marked=False), on), ()
        case events.ReadingZeroed(reading_mm):
            return replace(state, display=replace(state.display, zero_mm=float(reading_mm))), ()
        case events.ExtremesCleared():
            return state, (effects.SetExtremes(),)
        case events.ExtremesRestored(high, low):
            return state, (effects.SetExtremes(_read(high), _read(low)),)
        case events.SweepBroken(why):
            return _broken(state, why)
        case events.TurnStarred(turn=turn):
            starred = state.sweep.starred | {turn}
            return state.with_sweep(starred=starred), (effects.StoreNote(turn, event.KIND),)
        case events.StarUndone(turn):
            starred = state.sweep.starred - {turn}
            return state.with_sweep(starred=starred), (effects.StoreNote(turn, event.KIND),)
        case events.TurnExcluded() | events.WindowExcluded():
            return _excluded(state, event)
        case events.ExclusionUndone(number):
            return _counts_again(state, number, event.KIND)
        case events.ButtonPressed() if state.role.owns_board:
            return state, (effects.PressPrimary(),)
        case _:
            return state, ()


def _begun_anew(state: LiveState, on: MarkSide) -> LiveState:
    """Return it without its turns where the mark that angles count from has moved."""
    if on != state.setup.mark_on:
        return state
    return replace(state, analysis=None).with_sweep(turns=(), over_limit=False)


def _broken(state: LiveState, why: str) -> Updated:
    """Let the turns so far count no more, and say why."""
    state = replace(state, analysis=None).with_sweep(turns=(), over_limit=False, broken=why)
    return state, (effects.ClearPass(), effects.SetExtremes())


def _excluded(state: LiveState, event: events.TurnExcluded | events.WindowExcluded) -> Updated:
    others = tuple(one for one in state.sweep.excluded if one.id != event.id)
    state = _changed(state.with_sweep(excluded=(*others, event)))
    if isinstance(event, events.WindowExcluded) or event.turn is None:
        return state, ()
    return state, (effects.StoreNote(event.turn, event.KIND, event.reason),)


def _counts_again(state: LiveState, number: int, kind: str) -> Updated:
    gone = [one for one in state.sweep.excluded if one.id == number]
    left = tuple(one for one in state.sweep.excluded if one.id != number)
    notes = tuple(
        effects.StoreNote(one.turn, kind)
        for one in gone
        if isinstance(one, events.TurnExcluded) and one.turn is not None
    )
    return _changed(state.with_sweep(excluded=left)), notes


def _read(end: events.Extreme | None) -> tuple[float, float] | None:
    """Return a highest or lowest reading (mm, degrees or NaN) as an event has it."""
    return None if end is None else (float(end[0]), math.nan if end[1] is None else float(end[1]))


# --- what a person wants -----------------------------------------------------------------------------


def asked(state: LiveState, intent: Intent) -> Updated:
    """Return what an intent leads to: mostly an event to be recorded, and what takes it back."""
    match intent:
        case Say():
            return state, (intent,)
        case messages.TouchMark(on):
            return _touch_mark(state, on)
        case messages.TakeTurn():
            return _take_turn(state)
        case messages.ZeroReading():
            if state.reading.reading_mm is None:
                return state, (Say("no reading yet"),)
            return _recorded(
                state,
                events.ReadingZeroed(state.reading.reading_mm),
                "reading counts from here; the recording keeps the indicator's own number",
                undo.of_zero(state.display.zero_mm),
            )
        case messages.ClearExtremes():
            before = undo.of_clearing(state.reading.high, state.reading.low)
            return _recorded(state, events.ExtremesCleared(), "high and low so far begin anew", before)
        case messages.ExcludeTurn(reason):
            return _exclude_turn(state, reason)
        case messages.ExcludeWindow(window):
            start, end, reason = window.start_deg, window.end_deg, window.reason
            event = events.WindowExcluded(id=state.next_exclusion, from_deg=start, to_deg=end, reason=reason)
            return _exclude(state, event, f"{start:g} to {end:g} deg are left out: {reason}")
        case messages.Undo():
            return _undo(state)
        case messages.NameRecording(name):
            if state.recording is None:
                return state, (effects.Refuse("nothing is being recorded here"),)
            return state, (effects.KeepRecording(name),)
        case messages.ChangeSetup(changes):
            return _change_setup(state, dict(changes))
        case messages.EnterSetup(changes):
            part = changes.get("part", "")
            if part and part != state.setup.part:
                return state, (effects.CompleteSetup(part, changes),)
            return _setup_completed(state, dict(changes))
        case messages.Note(event):
            return _recorded(state, event)
        case messages.CheckIndicator(running):
            return replace(state, checking=running), ()
        case _:
            assert_never(intent)


def _recorded(
    state: LiveState, event: Event, words: str = "", inverse: undo.Inverse | None = None
) -> Updated:
    """Have an event recorded, and what takes it back remembered; whoever only follows may not."""
    if not state.role.may_act:
        return state, (Say(VIEW_ONLY),)
    state = replace(state, display=replace(state.display, not_kept=state.role is Role.REPLAY))
    if inverse is not None:
        state = replace(state, undo=(*state.undo, inverse))
    return state, (Record(event), Say(words)) if words else (Record(event),)


def _touch_mark(state: LiveState, on: MarkSide) -> Updated:
    board = state.board
    if on is MarkSide.ARBOR and not state.setup.stage.on_lathe:
        return state, (Say(NO_ARBOR),)
    if board.count is None or not board.counts_per_turn:
        return state, (Say(NO_MARK.get(board.angle_source, NO_COUNTS)),)
    event = events.MarkTouched(on, board.count)
    words = f"the {on}'s mark is here: angles count from this place"
    return _recorded(state, event, words, undo.of_mark(on, board.mark_count(on)))


def _take_turn(state: LiveState) -> Updated:
    if state.board.angle_source is AngleSource.STOPS:
        return _recorded(state, events.StopPressed())
    turn = state.sweep.last
    if turn is None:
        return state, (Say("no full turn yet: turn once round past the mark"),)
    number = turn.result.turn
    if number in state.sweep.starred:
        return state, (Say(f"turn {number + 1} has its star already"),)
    event = events.TurnStarred(number, turn.start_s, turn.end_s)
    return _recorded(state, event, f"turn {number + 1} has a star", undo.of_star(number))


def _exclude_turn(state: LiveState, reason: str) -> Updated:
    turn = state.sweep.last
    if turn is None:
        return state, (Say("no full turn yet: nothing to leave out"),)
    number = turn.result.turn
    event = events.TurnExcluded(
        id=state.next_exclusion, turn=number, from_s=turn.start_s, to_s=turn.end_s, reason=reason
    )
    return _exclude(state, event, f"turn {number + 1} is left out: {reason}")


def _exclude(state: LiveState, event: events.TurnExcluded | events.WindowExcluded, words: str) -> Updated:
    number = state.next_exclusion
    return _recorded(replace(state, next_exclusion=number + 1), event, words, undo.of_exclusion(number))


def _undo(state: LiveState) -> Updated:
    if not state.role.may_act:
        return state, (Say(VIEW_ONLY),)
    if not state.undo:
        return state, (Say("nothing to take back"),)
    *left, newest = state.undo
    return _recorded(replace(state, undo=tuple(left)), newest.event, f"{newest.what}: taken back")


def _change_setup(state: LiveState, changes: dict[str, str]) -> Updated:
    if not state.role.may_act:
        return state, (effects.Refuse(VIEW_ONLY),)
    return state, (effects.WriteSetup(_text_after(state, changes)),)


def _setup_completed(state: LiveState, changes: dict[str, str]) -> Updated:
    state, wanted = _change_setup(state, changes)
    if not state.role.may_act:
        return state, wanted
    if state.role is Role.REPLAY:
        return state, (*wanted, Say(NOT_KEPT))
    kept = effects.KeepSetup(
        state.board_name, {k: v for k, v in {**state.setup.text, **changes}.items() if v}
    )
    return state, (*wanted, kept, Say("kept for this board and this part"))


def _text_after(state: LiveState, changes: dict[str, str]) -> dict[str, str]:
    return {key: value for key, value in {**state.setup.text, **changes}.items() if value.strip()}
