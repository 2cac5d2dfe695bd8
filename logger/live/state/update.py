"""What a message does to a live session: the next state, and what is to be done outside.

Pure: the same state and message always give the same. Nothing a person wants counts before its event has come
back through the worker, so that owner, follower and replay see the same.
"""

from dataclasses import replace

from analysis.capture import AngleSource, events
from analysis.capture.events import Event
from logger.live.state import effects, messages
from logger.live.state.claims import is_over
from logger.live.state.effects import Effect, Record, Updated
from logger.live.state.event_rules import came_back
from logger.live.state.intent_rules import asked, recorded, setup_completed
from logger.live.state.messages import Message, ShowText
from logger.live.state.state import MOST_TURNS, LinkState, LiveState
from logger.live.state.stop_places import places_of
from logger.live.state.sweep_so_far import SweepSoFar

CLEAR_GAP_DEG = 12.0
"""A turn without a larger gap is clear, and rings once."""


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
        case messages.PlaceRead(reading_mm, words):
            return _place_read(state, reading_mm, words)
        case messages.AnalysisDone(analysis):
            return _analysed(state, analysis)
        case messages.IndicatorPressed(why):
            breaks = state.role.owns_board and not state.checking
            return state, (Record(events.SweepBroken(why)),) if breaks else ()
        case messages.ReadingEnded(error):
            return replace(state, ended=True, error=error), ()
        case messages.MessageShown(words, until_s):
            shown = replace(state.display, message=words, until_s=until_s)
            return replace(state, display=shown), ()
        case messages.RecordingKept(path):
            named = replace(state, named=path)
            return recorded(named, events.RecordingNamed(path.name), f"kept as {path}")
        case messages.SetupCompleted(changes):
            return setup_completed(state, dict(changes))
        case _:
            return asked(state, message)


def _ticked(state: LiveState, now_s: float) -> LiveState:
    if state.link is LinkState.WAITING and state.reading.new_ns is not None:
        state = replace(state, link=LinkState.HERE)
    if state.display.message and now_s > state.display.until_s:
        state = replace(state, display=replace(state.display, message=""))
    return state


def _analysed(state: LiveState, analysis: SweepSoFar) -> Updated:
    drawn = analysis.last_turn if state.board.angle_source is AngleSource.STEADY else None
    wanted: tuple[Effect, ...] = () if drawn is None else (effects.DrawTurn(*drawn),)
    if state.sweep.broken or not (state.sweep.turns or state.is_whole_only):
        return state, wanted
    over = is_over(analysis.result)
    if over and not state.sweep.over_limit:
        wanted = (*wanted, effects.RingBells(2))
    return replace(state, analysis=analysis).with_sweep(over_limit=over), wanted


def _turn_ended(state: LiveState, ended: messages.TurnEnded) -> Updated:
    """A turn of a broken sweep counts nowhere; the recording has its readings."""
    if state.sweep.broken:
        return state, ()
    turn = ended.turn
    wanted: list[Effect] = []
    if state.board.angle_source is AngleSource.INDEX:
        where, samples = ended.samples.turn.where, ended.samples.capture.samples
        wanted.append(effects.DrawTurn(samples.angle_rad[where], samples.reading_mm[where]))
    wanted.append(effects.StoreTurn(ended.samples))
    if turn.result.largest_gap_deg <= CLEAR_GAP_DEG:
        wanted.append(effects.RingBells(1))
    turns = (*state.sweep.turns, turn)[-MOST_TURNS:]
    return state.with_sweep(turns=turns).changed(), tuple(wanted)


def _place_read(state: LiveState, reading_mm: float | None, words: str) -> Updated:
    places = places_of(state.setup)
    if reading_mm is None or not places:
        return state, (ShowText(words),)
    first = len(state.stops.readings_mm) in (0, places + 1)
    stops, deg = state.stops.take(places, reading_mm)
    state = replace(state, stops=stops)
    if len(stops.readings_mm) == places + 1:
        state = state.changed()
    wanted = (effects.ClearPass(),) if first else ()
    return state, (*wanted, effects.DrawStop(deg, reading_mm), ShowText(words))
