"""One sweep out of a longer recording, as the sitting stood when it was taken.

A step of a job notes ``sweep-begun`` and ``sweep-taken`` with one id; everything after the second is left
unread, so that marks and set-ups of later steps change nothing. Link, events and samples are those of the
stretch alone.
"""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from analysis.capture import Capture, IndexPulses, LinkCounts
from analysis.errors import BadInput
from logger.inputs.loading import LoadedSweep
from logger.inputs.origin import SweepOrigin
from logger.stream import Event

BEGUN, TAKEN = "sweep-begun", "sweep-taken"
MARGIN_S = 0.3
"""Kept on either side of the first and last mark: what closes a turn lies just beyond it."""
COUNTED = ("frames", "bad", "lost", "dropped", "enc_errors", "word_errors", "rx_errors")


def load_excerpt(path: Path, sweep_id: str, override: Mapping[str, str] | None = None) -> LoadedSweep:
    """Return the sweep that was taken under this id.

    Parameters: ``override`` goes on top of the set-up of that moment; an empty value takes the key out.
    Raises RecordingError for a file that cannot be read, BadInput where the sweep is not in it.
    """
    from logger.recording import RecordingReader  # noqa: PLC0415
    from logger.session import Session  # noqa: PLC0415

    reader = RecordingReader(path)
    session = Session(live=False)
    session.change_setup(reader.setup)
    before = LinkCounts()
    for item in reader.items():
        session.take(item)
        if not isinstance(item, Event) or item.fields.get("id") != sweep_id:
            continue
        if item.fields.get("event") == BEGUN:
            session.flush()
            before = session.snapshot().link
        elif item.fields.get("event") == TAKEN:
            text = {**session.setup.text, **(override or {})}
            session.change_setup({key: value for key, value in text.items() if value})
            capture = stretch_of(session.capture(), sweep_id, before)
            return LoadedSweep(capture, SweepOrigin(str(path), reader.origin.recording_id or None, None), ())
    raise BadInput(f"{path} has no sweep {sweep_id}: was the recording cut short? take that sweep again")


def stretch_of(capture: Capture, sweep_id: str, before: LinkCounts) -> Capture:
    """Return the part of a capture between the two events of a sweep; ``before``: the link at its begin."""
    from_s, to_s = _ends(capture.events, sweep_id)
    s = capture.samples
    inside = (s.t_s >= from_s) & (s.t_s <= to_s)
    pulses = capture.index
    kept = (pulses.t_s >= from_s) & (pulses.t_s <= to_s)
    events = tuple(one for one in capture.events if from_s <= float(one.get("t_s", from_s)) <= to_s)
    again = capture.restarted_s is not None and capture.restarted_s > from_s
    return replace(
        capture,
        samples=s.take(np.flatnonzero(inside)),
        index=IndexPulses(
            pulses.t_s[kept], pulses.angle_rad[kept], pulses.direction[kept], pulses.segment[kept]
        ),
        events=(*_marks_before(capture.events, from_s), *events),
        link=None if capture.link is None else _link_of(capture.link, before, from_s, to_s, again),
        restarted_s=capture.restarted_s if again else None,
    )


def _ends(events: tuple[Mapping[str, Any], ...], sweep_id: str) -> tuple[float, float]:
    mine = {str(one["event"]): one for one in events if one.get("id") == sweep_id and "t_s" in one}
    if BEGUN not in mine or TAKEN not in mine:
        raise BadInput(f"sweep {sweep_id} has no beginning or no readings: take it again")
    taken = mine[TAKEN]
    if "from_s" in taken and "to_s" in taken:
        return float(taken["from_s"]) - MARGIN_S, float(taken["to_s"]) + MARGIN_S
    return float(mine[BEGUN]["t_s"]), float(taken["t_s"])


def _marks_before(events: tuple[Mapping[str, Any], ...], from_s: float) -> tuple[Mapping[str, Any], ...]:
    """Return the marks that were in force when the stretch began: they tell the index angle."""
    newest: dict[str, Mapping[str, Any]] = {}
    for one in events:
        if float(one.get("t_s", 0.0)) >= from_s:
            continue
        if one.get("event") == "mark":
            newest[str(one.get("on"))] = one
        elif one.get("event") == "mark-undone":
            newest.pop(str(one.get("on")), None)
    return tuple(newest.values())


def _link_of(link: LinkCounts, before: LinkCounts, from_s: float, to_s: float, again: bool) -> LinkCounts:
    gone = {name: max(0, getattr(link, name) - getattr(before, name)) for name in COUNTED}
    gaps = tuple(gap for gap in link.gaps if gap.end_s > from_s and gap.start_s < to_s)
    return replace(link, **gone, restarts=link.restarts if again else 0, gaps=gaps)
