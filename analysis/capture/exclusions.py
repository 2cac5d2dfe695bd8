"""What a person left out of a sweep, turns and windows, each with a reason and each to be taken back.

Events say it: ``left-out`` with a window (``from_deg``, ``to_deg``) or a turn (``from_s``, ``to_s`` of the
device), ``left-out-undone`` with the ``id`` of what counts again, ``sweep-broken`` where the turns before it
count no more. Nothing is ever removed.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from analysis.capture.turns import Turn
from analysis.capture.windows import Window

Events = Sequence[Mapping[str, Any]]


def in_force(events: Events) -> list[Mapping[str, Any]]:
    """Return the left-out events that were not taken back, in order."""
    undone = {event.get("id") for event in events if event.get("event") == "left-out-undone"}
    return [
        event
        for event in events
        if event.get("event") == "left-out" and (event.get("id") is None or event["id"] not in undone)
    ]


def windows_of_events(events: Events) -> tuple[Window, ...]:
    """Return the windows left out by a person's word."""
    return tuple(
        Window(float(event["from_deg"]), float(event["to_deg"]), _reason(event))
        for event in in_force(events)
        if "from_deg" in event and "to_deg" in event
    )


def reason_left_out(turn: Turn, events: Events) -> str | None:
    """Return why a turn was left out by a person's word; None where it was not."""
    begun = [event for event in events if event.get("event") == "sweep-broken" and "t_s" in event]
    if begun and turn.start_s < float(begun[-1]["t_s"]):
        return f"it began before {begun[-1].get('why', 'the sweep was broken')}"
    middle_s = 0.5 * (turn.start_s + turn.end_s)
    for event in in_force(events):
        if "from_s" not in event or "to_s" not in event:
            continue
        if float(event["from_s"]) <= middle_s <= float(event["to_s"]):
            return _reason(event)
    return None


def _reason(event: Mapping[str, Any]) -> str:
    return str(event.get("reason", "left out"))
