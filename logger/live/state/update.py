"""What an event that has come back means at the desk: the same for owner, follower and replay."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from logger.live.state.runtime import LiveRuntime

OWNS = ("owner", "practice")
"""The kinds of a desk that has the board itself."""


def notice(runtime: "LiveRuntime", fields: Mapping[str, Any]) -> None:
    """Take one event into the state of the desk; what means nothing here is passed over."""
    event = fields.get("event")
    if event == "gap":
        runtime.board = "gone"
    elif event == "reopened":
        runtime.board = "waiting"
        runtime.readout.new_ns = None
    elif event == "restart":
        runtime.board, runtime.marked = "restarted", False
        runtime.break_sweep("the board restarted")
    elif event in ("mark", "mark-undone"):
        runtime.marked = event == "mark"
        if runtime.marked:
            runtime.broken = ""
            runtime.board = "here" if runtime.board == "restarted" else runtime.board
        if fields.get("on") == runtime.session.setup.mark_on:
            runtime.turns.clear()
            runtime.analysis, runtime.crossed = None, False
    elif event == "reading-zero":
        runtime.zero_mm = float(fields.get("reading_mm", 0.0))
    elif event == "ends-cleared":
        runtime.readout.clear_ends()
    elif event == "ends-restored":
        runtime.readout.high, runtime.readout.low = _end(fields.get("high")), _end(fields.get("low"))
    elif event == "sweep-broken":
        runtime.break_sweep(str(fields.get("why", "the sweep was broken")))
    elif event in ("star", "star-undone"):
        turn = int(fields.get("turn", -1))
        (runtime.starred.add if event == "star" else runtime.starred.discard)(turn)
        runtime.on_note(turn, str(event), "")
    elif event == "left-out":
        runtime.left_out[int(fields.get("id", 0))] = fields
        runtime.background.stale = True
        if "turn" in fields:
            runtime.on_note(int(fields["turn"]), "left-out", str(fields.get("reason", "")))
    elif event == "left-out-undone":
        gone = runtime.left_out.pop(int(fields.get("id", 0)), {})
        runtime.background.stale = True
        if "turn" in gone:
            runtime.on_note(int(gone["turn"]), "left-out-undone", "")
    elif event == "button" and runtime.kind in OWNS:
        runtime.pressed = True


def _end(written: Any) -> tuple[float, float] | None:
    """Return a highest or lowest reading (mm, degrees or NaN) from what an event says of it."""
    if not isinstance(written, list) or len(written) != 2 or written[0] is None:
        return None
    return float(written[0]), math.nan if written[1] is None else float(written[1])
