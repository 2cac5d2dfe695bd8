"""What a page is painted from, made of the state at one moment; and what is wrong, in words."""

import math

from analysis.capture import AngleSource, overdue
from analysis.diagnosis import fastest_rpm
from logger.live.state.claims import claims_of
from logger.live.state.state import LinkState, LiveState, Role
from logger.live.state.view import Moment, View

GONE_S = 1.6
"""No byte at all for so long (a board sends a heartbeat twice a second): the board is gone."""


def view_of(state: LiveState, now: Moment) -> View:
    """Return everything that is known at this moment."""
    setup, reading, sweep = state.setup, state.reading, state.sweep
    live, words = trouble(state)
    angle = reading.angle_at(state.now_ns) if live else reading.angle_rad
    source = state.board.angle_source if reading.reading_mm is not None else None
    claims = claims_of(state, live=live)
    analysis = state.analysis if claims.tells_numbers else None
    result = analysis.result if analysis else None
    last = sweep.heading.result if sweep.heading and claims.tells_numbers else None
    if source is not None and state.is_whole_only and result is not None:
        last = result.turns[-1]
    return View(
        role=state.role,
        name=state.name,
        setup=setup,
        reading_mm=reading.reading_mm,
        zero_mm=state.display.zero_mm,
        live=live,
        words=words,
        step_mm=state.board.step_mm,
        angle_deg=None if angle is None else math.degrees(angle),
        rpm=state.rpm if live else None,
        direction=reading.direction,
        counts_per_turn=state.board.counts_per_turn,
        max_rpm=fastest_rpm(1.0 / reading.period_s, setup.turns_planned) if reading.period_s else None,
        turns=len(sweep.turns) or (len(result.turns) if result is not None else 0),
        last=last,
        starred=last is not None and last.turn in sweep.starred,
        high=reading.high,
        low=reading.low,
        pass_low=reading.pass_low,
        pass_high=reading.pass_high,
        missing=state.stops.missing(setup) if source is AngleSource.STOPS else reading.missing_deg,
        analysis=analysis,
        behind=analysis is not None and state.revision - analysis.revision > 1,
        limit_mm=state.limit_mm,
        limit_words=setup.limit.length.as_written if setup.limit else "",
        recording=str(state.recording) if state.recording and not state.ended else "",
        recorded_s=now.recorded_s,
        named=state.named is not None,
        message=state.display.message,
        locked=False,
        bells=True,
        broken=sweep.broken,
        overdue=_overdue(state, now),
        marked=sweep.marked or setup.mark == "index",
        claims=claims,
        wants_mark=state.wants_mark,
        link=f"{state.board.frames_lost} frames lost on the link" if state.board.frames_lost else "",
        source=source,
        angle_note=angle_note(state),
        stop_at=state.stops.words(setup) if source is AngleSource.STOPS else "",
    )


def trouble(state: LiveState) -> tuple[bool, str]:
    """Return (live, words): dashes and why, where the gauge or the board does not speak."""
    board = state.board
    if state.ended:
        return state.role is Role.REPLAY, str(state.error or "the recording has ended")
    if state.link is LinkState.GONE:
        return False, f"board gone: plug it in, it is taken up again by itself ({state.name})"
    if state.link is LinkState.RESTARTED and board.count is None:
        return False, "the board restarts: wait for its first reading"
    if board.problem:
        return False, board.problem
    if state.reading.new_ns is None:
        return False, "waiting for the board"
    if state.reading.silent(state.now_ns):
        if (state.now_ns - board.heard_ns) * 1e-9 > GONE_S:
            if state.role is Role.FOLLOW:
                return False, "nothing new in the recording: has the window that owns the port gone?"
            return False, "board gone: nothing comes any more; look at its cable"
        return False, "indicator asleep or unplugged: press its button, look at its cable"
    if state.link is LinkState.RESTARTED:
        return True, "board restarted: put the part's mark under the tip and press M"
    return True, ""


def angle_note(state: LiveState) -> str:
    """Return what is to be known of the angle, or why there is none; empty where an encoder tells it."""
    if state.reading.reading_mm is None:
        return ""
    match state.board.angle_source:
        case AngleSource.ENCODER:
            return "angle from the second port: a few ms late" if state.board.two_ports else ""
        case AngleSource.INDEX:
            if state.reading.angle_rad is not None:
                return "angle by the time between marks: turn evenly"
            return "no angle before the mark has passed twice: turn evenly"
        case AngleSource.STOPS:
            return f"angle by stops: stand still at {state.stops.words(state.setup)}, press SPACE"
        case AngleSource.STEADY:
            if state.analysis is not None and state.analysis.result is not None:
                return "angle from the steady spin's own start: nothing on the part"
            return "no strip yet: the period of the spin is looked for; keep turning evenly"
        case _:
            return "no strip: nothing tells the angle (no encoder, no index pulse; see Set-up)"


def _overdue(state: LiveState, now: Moment) -> str:
    return overdue(state.setup, now.today)
