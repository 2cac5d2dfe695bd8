"""What an event that has come back means at the desk: the same for owner, follower and replay."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from logger.live.state.runtime import LiveRuntime

OWNS = ("owner", "practice")
"""The kinds of a desk that has the board itself."""


def notice(desk: "LiveRuntime", fields: Mapping[str, Any]) -> None:
    """Take one event into the state of the desk; what means nothing here is passed over."""
    event = fields.get("event")
    if event == "gap":
        desk.board = "gone"
    elif event == "reopened":
        desk.board = "waiting"
        desk.meter.new_ns = None
    elif event == "restart":
        desk.board, desk.marked = "restarted", False
        desk.break_sweep("the board restarted")
    elif event in ("mark", "mark-undone"):
        desk.marked = event == "mark"
        if desk.marked:
            desk.broken = ""
            desk.board = "here" if desk.board == "restarted" else desk.board
        if fields.get("on") == desk.session.setup.mark_on:
            desk.turns.clear()
            desk.study, desk.crossed = None, False
    elif event == "reading-zero":
        desk.zero_mm = float(fields.get("reading_mm", 0.0))
    elif event == "ends-cleared":
        desk.meter.clear_ends()
    elif event == "ends-restored":
        desk.meter.high, desk.meter.low = _end(fields.get("high")), _end(fields.get("low"))
    elif event == "sweep-broken":
        desk.break_sweep(str(fields.get("why", "the sweep was broken")))
    elif event in ("star", "star-undone"):
        turn = int(fields.get("turn", -1))
        (desk.starred.add if event == "star" else desk.starred.discard)(turn)
        desk.on_note(turn, str(event), "")
    elif event == "left-out":
        desk.left_out[int(fields.get("id", 0))] = fields
        desk.studying.stale = True
        if "turn" in fields:
            desk.on_note(int(fields["turn"]), "left-out", str(fields.get("reason", "")))
    elif event == "left-out-undone":
        gone = desk.left_out.pop(int(fields.get("id", 0)), {})
        desk.studying.stale = True
        if "turn" in gone:
            desk.on_note(int(gone["turn"]), "left-out-undone", "")
    elif event == "button" and desk.kind in OWNS:
        desk.pressed = True


def _end(written: Any) -> tuple[float, float] | None:
    """Return a highest or lowest reading (mm, degrees or NaN) from what an event says of it."""
    if not isinstance(written, list) or len(written) != 2 or written[0] is None:
        return None
    return float(written[0]), math.nan if written[1] is None else float(written[1])
