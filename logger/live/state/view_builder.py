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


def _trouble(desk: "LiveRuntime", now_ns: int) -> tuple[bool, str]:
    """Return (live, words): dashes and why, where the gauge or the board does not speak."""
    if desk.ended:
        return desk.kind == "replay", str(desk.error or "the recording has ended")
    if desk.board == "gone":
        return False, f"board gone: plug it in, it is taken up again by itself ({desk.source.name})"
    if desk.board == "restarted" and desk.tap.count is None:
        return False, "the board restarts: wait for its first reading"
    if desk.meter.new_ns is None:
        return False, desk.worker.problem or "waiting for the board"
    if desk.meter.silent(now_ns):
        if (now_ns - desk.tap.last_heard_ns) * 1e-9 > GONE_S:
            if desk.kind == "follow":
                return False, "nothing new in the recording: has the window that owns the port gone?"
            return False, "board gone: nothing comes any more; look at its cable"
        return False, "indicator asleep or unplugged: press its button, look at its cable"
    if desk.board == "restarted":
        return True, "board restarted: put the part's mark under the tip and press M"
    return True, ""


def view_of(desk: "LiveRuntime") -> View:
    """Return everything that is known now."""
    meter, setup = desk.meter, desk.session.setup
    now_ns = desk.now_ns()
    live, words = _trouble(desk, now_ns)
    angle = meter.angle_now_rad(now_ns) if live else meter.angle_rad
    source = desk.session.angle_source if meter.reading_mm is not None else ""
    result = desk.study.result if desk.study else None
    last = desk.turns[-1].told if desk.turns else None
    if source in ("steady", "stops") and result is not None:
        last = result.turns[-1]
    period = meter.period_s
    low, high = meter.trace.drawn()
    try:
        late = overdue(setup.text.get("gauge_due", ""), desk.today())
    except BadInput as error:
        late = str(error)
    lost = desk.session.frames_lost()
    return View(
        kind=desk.kind,
        name=desk.source.name,
        setup=setup,
        reading_mm=meter.reading_mm,
        zero_mm=desk.zero_mm,
        live=live,
        words=words,
        step_mm=desk.tap.resolution_mm,
        angle_deg=None if angle is None else angle * 57.29577951308232,
        rpm=abs(meter.speed_rad_s) * 9.549296585513721,
        way=meter.trace.way,
        counts_per_turn=desk.tap.counts_per_turn,
        max_rpm=None if not period else 60.0 / period / WANTED_VALUES_PER_TURN,
        turns=len(desk.turns) or (len(result.turns) if result is not None else 0),
        last=last,
        starred=last is not None and last.turn in desk.starred,
        high=meter.high,
        low=meter.low,
        trace_low=low,
        trace_high=high,
        missing=desk.places.missing(setup) if source == "stops" else meter.trace.missing(),
        study=desk.study,
        limit_mm=limit_mm_of(setup),
        limit_words=setup.limit.length.as_written if setup.limit else "",
        recording=str(desk.recorder.path) if desk.recorder and not desk.ended else "",
        recorded_s=desk.recorded_s,
        named=desk.named is not None,
        message=desk.message,
        locked=False,
        bells=True,
        broken=desk.broken,
        overdue=late,
        marked=desk.marked or setup.mark == MarkKind.INDEX,
        link=f"{lost} frames lost on the link" if lost else "",
        source=source,
        how=how_told(desk),
        stop_at=desk.places.words(setup) if source == "stops" else "",
    )


def how_told(desk: "LiveRuntime") -> str:
    """Return what is to be known of the angle, or why there is none; empty where an encoder tells it."""
    session, known = desk.session, desk.meter.angle_rad is not None
    source = session.angle_source
    if desk.meter.reading_mm is None:
        return ""
    if source == "encoder":
        return "angle from the second port: a few ms late" if session.two_ports else ""
    if source == "index":
        if known:
            return "angle by the time between marks: turn evenly"
        return "no angle before the mark has passed twice: turn evenly"
    if source == "stops":
        return f"angle by stops: stand still at {desk.places.words(session.setup)}, press SPACE"
    if source == "steady":
        if desk.study is not None and desk.study.result is not None:
            return "angle from the steady spin's own start: nothing on the part"
        return "no strip yet: the period of the spin is looked for; keep turning evenly"
    return "no strip: nothing tells the angle (no encoder, no index pulse; see Set-up)"
