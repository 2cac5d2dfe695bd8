"""What is known at this moment, gathered from a desk into one frozen view; and what is wrong, in words."""

from typing import TYPE_CHECKING

from analysis.capture import overdue
from analysis.decision import limit_at_track
from analysis.diagnosis import WANTED_VALUES_PER_TURN
from analysis.errors import BadInput
from analysis.setup import MarkKind, Quantity, Setup
from logger.live.state.view import View

if TYPE_CHECKING:
    from logger.live.state.runtime import LiveRuntime

GONE_S = 1.6
"""No byte at all for so long (a board sends a heartbeat twice a second): the board is gone."""


def limit_mm_of(setup: Setup) -> float | None:
    """Return the TIR limit at the track; None where there is none, or it is of something else."""
    if setup.limit is None or setup.limit.quantity not in (Quantity.TIR, Quantity.TIR_FIRST):
        return None
    try:
        return limit_at_track(setup.limit, setup)[0]
    except BadInput:
        return None


def _trouble(runtime: "LiveRuntime", now_ns: int) -> tuple[bool, str]:
    """Return (live, words): dashes and why, where the gauge or the board does not speak."""
    if runtime.ended:
        return runtime.kind == "replay", str(runtime.error or "the recording has ended")
    if runtime.board == "gone":
        return False, f"board gone: plug it in, it is taken up again by itself ({runtime.source.name})"
    if runtime.board == "restarted" and runtime.session_tap.count is None:
        return False, "the board restarts: wait for its first reading"
    if runtime.readout.new_ns is None:
        return False, runtime.worker.problem or "waiting for the board"
    if runtime.readout.silent(now_ns):
        if (now_ns - runtime.session_tap.last_heard_ns) * 1e-9 > GONE_S:
            if runtime.kind == "follow":
                return False, "nothing new in the recording: has the window that owns the port gone?"
            return False, "board gone: nothing comes any more; look at its cable"
        return False, "indicator asleep or unplugged: press its button, look at its cable"
    if runtime.board == "restarted":
        return True, "board restarted: put the part's mark under the tip and press M"
    return True, ""


def view_of(runtime: "LiveRuntime") -> View:
    """Return everything that is known now."""
    readout, setup = runtime.readout, runtime.session.setup
    now_ns = runtime.now_ns()
    live, words = _trouble(runtime, now_ns)
    angle = readout.angle_now_rad(now_ns) if live else readout.angle_rad
    source = runtime.session.angle_source if readout.reading_mm is not None else ""
    result = runtime.analysis.result if runtime.analysis else None
    last = runtime.turns[-1].result if runtime.turns else None
    if source in ("steady", "stops") and result is not None:
        last = result.turns[-1]
    period = readout.period_s
    low, high = readout.pass_trace.drawn()
    try:
        late = overdue(setup.text.get("gauge_due", ""), runtime.today())
    except BadInput as error:
        late = str(error)
    lost = runtime.session.frames_lost()
    return View(
        kind=runtime.kind,
        name=runtime.source.name,
        setup=setup,
        reading_mm=readout.reading_mm,
        zero_mm=runtime.zero_mm,
        live=live,
        words=words,
        step_mm=runtime.session_tap.resolution_mm,
        angle_deg=None if angle is None else angle * 57.29577951308232,
        rpm=abs(readout.speed_rad_s) * 9.549296585513721,
        direction=readout.pass_trace.direction,
        counts_per_turn=runtime.session_tap.counts_per_turn,
        max_rpm=None if not period else 60.0 / period / WANTED_VALUES_PER_TURN,
        turns=len(runtime.turns) or (len(result.turns) if result is not None else 0),
        last=last,
        starred=last is not None and last.turn in runtime.starred,
        high=readout.high,
        low=readout.low,
        pass_low=low,
        pass_high=high,
        missing=runtime.places.missing(setup) if source == "stops" else readout.pass_trace.missing(),
        analysis=runtime.analysis,
        limit_mm=limit_mm_of(setup),
        limit_words=setup.limit.length.as_written if setup.limit else "",
        recording=str(runtime.recorder.path) if runtime.recorder and not runtime.ended else "",
        recorded_s=runtime.recorded_s,
        named=runtime.named is not None,
        message=runtime.message,
        locked=False,
        bells=True,
        broken=runtime.broken,
        overdue=late,
        marked=runtime.marked or setup.mark == MarkKind.INDEX,
        link=f"{lost} frames lost on the link" if lost else "",
        source=source,
        angle_note=angle_note(runtime),
        stop_at=runtime.places.words(setup) if source == "stops" else "",
    )


def angle_note(runtime: "LiveRuntime") -> str:
    """Return what is to be known of the angle, or why there is none; empty where an encoder tells it."""
    session, known = runtime.session, runtime.readout.angle_rad is not None
    source = session.angle_source
    if runtime.readout.reading_mm is None:
        return ""
    if source == "encoder":
        return "angle from the second port: a few ms late" if session.two_ports else ""
    if source == "index":
        if known:
            return "angle by the time between marks: turn evenly"
        return "no angle before the mark has passed twice: turn evenly"
    if source == "stops":
        return f"angle by stops: stand still at {runtime.places.words(session.setup)}, press SPACE"
    if source == "steady":
        if runtime.analysis is not None and runtime.analysis.result is not None:
            return "angle from the steady spin's own start: nothing on the part"
        return "no strip yet: the period of the spin is looked for; keep turning evenly"
    return "no strip: nothing tells the angle (no encoder, no index pulse; see Set-up)"
