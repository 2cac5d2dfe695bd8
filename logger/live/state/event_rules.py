"""What a recorded event that has come back means: the same for owner, follower and replay. Pure."""

import math
from dataclasses import replace

from analysis.capture import events
from analysis.capture.events import Event
from analysis.setup import MarkSide
from logger.live.state import effects
from logger.live.state.effects import Updated
from logger.live.state.messages import ShowText
from logger.live.state.state import LinkState, LiveState, SetAside

MOST_SET_ASIDE = 8
"""So many marks can be taken back with the turns before each."""


def came_back(state: LiveState, event: Event) -> Updated:
    """Return the state after an event, and what is to be done."""
    match event:
        case events.LinkLost():
            return replace(state, link=LinkState.GONE), ()
        case events.LinkReopened():
            return replace(state, link=LinkState.WAITING), (effects.AwaitReading(),)
        case events.BoardRestarted():
            state = replace(state, link=LinkState.RESTARTED, set_aside=())
            return _broken(state.with_sweep(marked=False, mark=None), "the board restarted")
        case events.NotDecoded(why):
            return state, (ShowText(f"not decoded: {why}; the recording goes on"),)
        case events.MarkTouched(on=on):
            return _touched(state, on, event), ()
        case events.MarkUndone(on=on):
            return _touched(state, on, None), ()
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
            return state.with_sweep(starred=starred), ()
        case events.StarUndone(turn):
            starred = state.sweep.starred - {turn}
            return state.with_sweep(starred=starred), ()
        case events.TurnExcluded() | events.WindowExcluded():
            return _excluded(state, event)
        case events.ExclusionUndone(number):
            return _counts_again(state, number)
        case events.ButtonPressed() if state.role.owns_board:
            return state, (effects.PressPrimary(),)
        case _:
            return state, ()


def _touched(state: LiveState, on: MarkSide, mark: events.MarkTouched | None) -> LiveState:
    """Return it with this mark of one side: its turns begin anew where angles count from it.

    The mark that was in force before has its turns back: the one since was taken back.
    """
    taken_back = mark is None or state.taking_back == mark
    state = replace(state, taking_back=None)
    if on != state.setup.mark_on:
        return _with_mark(state, mark)
    before = state.set_aside[-1] if state.set_aside else None
    if before is not None and before.sweep.mark == mark and (taken_back or mark != state.sweep.mark):
        return _as_before(replace(state, set_aside=state.set_aside[:-1]), before)
    aside = SetAside(state.sweep, state.analysis, state.link)
    kept = (*state.set_aside, aside)[-MOST_SET_ASIDE:]
    state = _with_mark(replace(state, set_aside=kept, analysis=None), mark)
    return state.with_sweep(turns=(), over_limit=False, mark=mark)


def _with_mark(state: LiveState, mark: events.MarkTouched | None) -> LiveState:
    if mark is None:
        return state.with_sweep(marked=False)
    here = state.link is LinkState.RESTARTED
    return replace(state, link=LinkState.HERE if here else state.link).with_sweep(marked=True, broken="")


def _as_before(state: LiveState, before: SetAside) -> LiveState:
    """Return it with the turns and the answer of a mark that is in force again."""
    sweep = replace(before.sweep, starred=state.sweep.starred, excluded=state.sweep.excluded)
    link = before.link if before.link is LinkState.RESTARTED else state.link
    return replace(state, sweep=sweep, analysis=before.analysis, link=link).changed()


def _broken(state: LiveState, why: str) -> Updated:
    """Let the turns so far count no more, and say why."""
    state = replace(state, analysis=None).with_sweep(turns=(), over_limit=False, broken=why)
    return state, (effects.ClearPass(), effects.SetExtremes())


def _excluded(state: LiveState, event: events.TurnExcluded | events.WindowExcluded) -> Updated:
    others = tuple(one for one in state.sweep.excluded if one.id != event.id)
    return state.with_sweep(excluded=(*others, event)).changed(), ()


def _counts_again(state: LiveState, number: int) -> Updated:
    left = tuple(one for one in state.sweep.excluded if one.id != number)
    return state.with_sweep(excluded=left).changed(), ()


def _read(end: events.Extreme | None) -> tuple[float, float] | None:
    """Return a highest or lowest reading (mm, degrees or NaN) as an event has it."""
    return None if end is None else (float(end[0]), math.nan if end[1] is None else float(end[1]))
