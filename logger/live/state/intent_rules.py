"""What a person's intent leads to: mostly an event to be recorded, and what takes it back. Pure."""

from dataclasses import replace
from typing import assert_never

from analysis.capture import AngleSource, events
from analysis.capture.events import Event
from analysis.setup import MarkSide
from logger.live.state import effects, messages, undo
from logger.live.state.effects import Record, Updated
from logger.live.state.messages import Intent, ShowText
from logger.live.state.state import FinishedTurn, LiveState, Role

VIEW_ONLY = "view only: the window that owns the port can do that"
NOT_KEPT = "a replay: not kept"
AS_RECORDED = "a replay: it counts as it was recorded"
_AT_THE_BOARD = (
    messages.TouchMark,
    messages.TakeTurn,
    messages.ZeroReading,
    messages.ClearExtremes,
    messages.ExcludeTurn,
    messages.ExcludeWindow,
    messages.Undo,
)
"""What changes the measurement."""
NO_MARK = {
    AngleSource.INDEX: "the index pulse is the mark here: turn past it",
    AngleSource.STOPS: "no mark with stops: the first place is angle 0",
    AngleSource.STEADY: "no mark with a steady spin: angles count from its start",
}
"""Why a mark cannot be touched where the angle is no count."""
IT_TURNS = "it turns"
NOT_YET_STOOD = "it has not stood for half a second yet"
NO_READING = "no reading comes"
NO_COUNTS = "no counts yet: is the encoder connected?"
NO_ARBOR = "the arbor's mark is for steps on the lathe: choose the stage in Set-up (2)"


def asked(state: LiveState, intent: Intent) -> Updated:
    """Return the state after an intent, and what is to be done."""
    if state.role is Role.REPLAY and isinstance(intent, _AT_THE_BOARD):
        return state, (ShowText(AS_RECORDED),)
    match intent:
        case ShowText():
            return state, (intent,)
        case messages.TouchMark(on):
            return _touch_mark(state, on, "A" if on is MarkSide.ARBOR else "M")
        case messages.TakeTurn():
            return _take_turn(state)
        case messages.ZeroReading():
            if state.reading.reading_mm is None:
                return state, (ShowText("no reading yet"),)
            return recorded(
                state,
                events.ReadingZeroed(state.reading.reading_mm),
                "reading counts from here; the recording keeps the indicator's own number",
                undo.of_zero(state.display.zero_mm),
            )
        case messages.ClearExtremes():
            before = undo.of_clearing(state.reading.high, state.reading.low)
            return recorded(state, events.ExtremesCleared(), "high and low so far begin anew", before)
        case messages.ExcludeTurn(reason, turn):
            return _exclude_turn(state, reason, turn or state.sweep.heading)
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
            return setup_completed(state, dict(changes))
        case messages.Note(event):
            return recorded(state, event)
        case messages.CheckIndicator(running):
            return replace(state, checking=running), ()
        case _:
            assert_never(intent)


def recorded(state: LiveState, event: Event, words: str = "", inverse: undo.Inverse | None = None) -> Updated:
    """Have an event recorded, and what takes it back remembered; whoever only follows may not."""
    if not state.role.may_act:
        return state, (ShowText(VIEW_ONLY),)
    if inverse is not None:
        state = replace(state, undo=(*state.undo, inverse))
    return state, (Record(event), ShowText(words)) if words else (Record(event),)


def why_not_standing(state: LiveState) -> str:
    """Return why what needs a part that stands and a gauge that speaks cannot be taken now; else nothing.

    Where nothing counts, only the person can tell.
    """
    if not state.speaks:
        return NO_READING
    if state.stands is False:
        return IT_TURNS
    return NOT_YET_STOOD if state.stands is None and state.board.counts_per_turn else ""


def _touch_mark(state: LiveState, on: MarkSide, key: str = "M") -> Updated:
    board = state.board
    if not state.role.may_act:
        return state, (ShowText(VIEW_ONLY),)
    if on is MarkSide.ARBOR and not state.setup.stage.on_lathe:
        return state, (ShowText(NO_ARBOR),)
    if board.count is None or not board.counts_per_turn:
        return state, (ShowText(NO_MARK.get(board.angle_source, NO_COUNTS)),)
    moves = why_not_standing(state)
    if moves:
        return state, (ShowText(f"{moves}: stand the mark under the tip, then {key}"),)
    event = events.MarkTouched(on, board.count)
    words = f"the {on}'s mark is here: angles count from this place"
    return recorded(state, event, words, undo.of_mark(on, board.mark_count(on)))


def _take_turn(state: LiveState) -> Updated:
    if state.wants_mark:
        return _touch_mark(state, state.setup.mark_on, "SPACE")
    if not state.speaks and state.role.owns_board:
        return state, (ShowText(f"{NO_READING}: nothing is taken"),)
    if state.board.angle_source is AngleSource.STOPS:
        return recorded(state, events.StopPressed())
    turn = state.sweep.heading
    if turn is None:
        return state, (ShowText("no full turn yet: turn once round past the mark"),)
    number = turn.result.turn
    if number in state.sweep.starred:
        return state, (ShowText(f"turn {number + 1} has its star already"),)
    event = events.TurnStarred(number, turn.start_s, turn.end_s)
    return recorded(state, event, f"turn {number + 1} has a star", undo.of_star(number))


def _exclude_turn(state: LiveState, reason: str, turn: FinishedTurn | None) -> Updated:
    if turn is None:
        return state, (ShowText("no full turn yet: nothing to leave out"),)
    number = turn.result.turn
    event = events.TurnExcluded(
        id=state.next_exclusion, turn=number, from_s=turn.start_s, to_s=turn.end_s, reason=reason
    )
    return _exclude(state, event, f"turn {number + 1} is left out: {reason}")


def _exclude(state: LiveState, event: events.TurnExcluded | events.WindowExcluded, words: str) -> Updated:
    number = state.next_exclusion
    return recorded(replace(state, next_exclusion=number + 1), event, words, undo.of_exclusion(number))


def _undo(state: LiveState) -> Updated:
    if not state.role.may_act:
        return state, (ShowText(VIEW_ONLY),)
    if not state.undo:
        return state, (ShowText("nothing to take back"),)
    *left, newest = state.undo
    state = replace(state, undo=tuple(left), taking_back=newest.event)
    return recorded(state, newest.event, f"{newest.what}: taken back")


def _change_setup(state: LiveState, changes: dict[str, str]) -> Updated:
    if not state.role.may_act:
        return state, (effects.Refuse(VIEW_ONLY),)
    return state, (effects.WriteSetup(_text_after(state, changes)),)


def setup_completed(state: LiveState, changes: dict[str, str]) -> Updated:
    """Have values of the set-up written, and kept for board and part; a replay keeps nothing."""
    state, wanted = _change_setup(state, changes)
    if not state.role.may_act:
        return state, wanted
    if state.role is Role.REPLAY:
        return state, (*wanted, ShowText(NOT_KEPT))
    kept = effects.KeepSetup(
        state.board_name, {k: v for k, v in {**state.setup.text, **changes}.items() if v}
    )
    return state, (*wanted, kept, ShowText("kept for this board and this part"))


def _text_after(state: LiveState, changes: dict[str, str]) -> dict[str, str]:
    return {key: value for key, value in {**state.setup.text, **changes}.items() if value.strip()}
