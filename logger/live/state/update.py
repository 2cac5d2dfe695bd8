"""What an event that has come back means at the desk: the same for owner, follower and replay."""

import math
from typing import TYPE_CHECKING

from analysis.capture.events import (
    BoardRestarted,
    ButtonPressed,
    Event,
    ExclusionUndone,
    Extreme,
    ExtremesCleared,
    ExtremesRestored,
    LinkLost,
    LinkReopened,
    MarkTouched,
    MarkUndone,
    ReadingZeroed,
    StarUndone,
    SweepBroken,
    TurnExcluded,
    TurnStarred,
    WindowExcluded,
)

if TYPE_CHECKING:
    from logger.live.state.runtime import LiveRuntime

OWNS = ("owner", "practice")
"""The kinds of a desk that has the board itself."""


def notice(runtime: "LiveRuntime", event: Event) -> None:
    """Take one event into the state of the runtime; what means nothing here is passed over."""
    match event:
        case LinkLost():
            runtime.board = "gone"
        case LinkReopened():
            runtime.board = "waiting"
            runtime.readout.new_ns = None
        case BoardRestarted():
            runtime.board, runtime.marked = "restarted", False
            runtime.break_sweep("the board restarted")
        case MarkTouched(on) | MarkUndone(on):
            runtime.marked = isinstance(event, MarkTouched)
            if runtime.marked:
                runtime.broken = ""
                runtime.board = "here" if runtime.board == "restarted" else runtime.board
            if on == runtime.session.setup.mark_on:
                runtime.turns.clear()
                runtime.analysis, runtime.crossed = None, False
        case ReadingZeroed(reading_mm):
            runtime.zero_mm = reading_mm
        case ExtremesCleared():
            runtime.readout.clear_ends()
        case ExtremesRestored(high, low):
            runtime.readout.high, runtime.readout.low = _end(high), _end(low)
        case SweepBroken(why):
            runtime.break_sweep(why)
        case TurnStarred(turn):
            runtime.starred.add(turn)
            runtime.on_note(turn, event.KIND, "")
        case StarUndone(turn):
            runtime.starred.discard(turn)
            runtime.on_note(turn, event.KIND, "")
        case TurnExcluded() | WindowExcluded():
            runtime.left_out[event.id or 0] = event
            runtime.background.stale = True
            if isinstance(event, TurnExcluded) and event.turn is not None:
                runtime.on_note(event.turn, event.KIND, event.reason)
        case ExclusionUndone(number):
            gone = runtime.left_out.pop(number, None)
            runtime.background.stale = True
            if isinstance(gone, TurnExcluded) and gone.turn is not None:
                runtime.on_note(gone.turn, event.KIND, "")
        case ButtonPressed() if runtime.kind in OWNS:
            runtime.pressed = True


def _end(extreme: Extreme | None) -> tuple[float, float] | None:
    """Return a highest or lowest reading (mm, degrees or NaN) from what an event says of it."""
    if extreme is None:
        return None
    mm, deg = extreme
    return mm, math.nan if deg is None else deg
