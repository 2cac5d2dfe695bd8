"""One sweep out of a longer recording, as the session stood when it was taken.

A step of a job notes ``sweep-begun`` and ``sweep-taken`` with one id; everything after the second is left
unread, so that marks and set-ups of later steps change nothing. Link, events and samples are those of the
stretch alone.
"""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from analysis.capture import Capture, IndexPulses, LinkCounts
from analysis.capture.events import MarkTouched, MarkUndone, SweepBegun, SweepTaken, TimedEvent
from analysis.errors import BadInput
from analysis.setup import MarkSide
from logger.inputs.loading import LoadedSweep, origin_of
from logger.recording import RecordingReader
from logger.session import Session
from logger.stream import RecordedEvent

MARGIN_S = 0.3
"""Kept on either side of the first and last mark: what closes a turn lies just beyond it."""
COUNTED = ("frames", "bad", "lost", "dropped", "enc_errors", "word_errors", "rx_errors", "not_decoded")


def load_excerpt(path: Path, sweep_id: str, override: Mapping[str, str] | None = None) -> LoadedSweep:
    """Return the sweep that was taken under this id.

    Parameters: ``override`` goes on top of the set-up of that moment; an empty value takes the key out.
    Raises RecordingError for a file that cannot be read, BadInput where the sweep is not in it.
    """
    reader = RecordingReader(path)
    session = Session(live=False)
    session.change_setup(reader.setup)
    before = LinkCounts()
    for item in reader.items():
        session.take(item)
        match item:
            case RecordedEvent(event=SweepBegun(id=begun)) if begun == sweep_id:
                session.flush()
                before = session.snapshot().link
            case RecordedEvent(event=SweepTaken(id=taken)) if taken == sweep_id:
                text = {**session.setup.text, **(override or {})}
                session.change_setup({key: value for key, value in text.items() if value})
                capture = excerpt_of(session.capture(), sweep_id, before)
                origin = origin_of(str(path), reader, session, closed=None)
                return LoadedSweep(capture, origin, ())
    raise BadInput(f"{path} has no sweep {sweep_id}: was the recording cut short? take that sweep again")


def excerpt_of(capture: Capture, sweep_id: str, before: LinkCounts) -> Capture:
    """Return the part of a capture between the two events of a sweep; ``before``: the link at its begin."""
    from_s, to_s = _ends(capture.events, sweep_id)
    s = capture.samples
    inside = (s.t_s >= from_s) & (s.t_s <= to_s)
    pulses = capture.index
    kept = (pulses.t_s >= from_s) & (pulses.t_s <= to_s)
    events = tuple(one for one in capture.events if one.t_s is None or from_s <= one.t_s <= to_s)
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


def _ends(events: tuple[TimedEvent, ...], sweep_id: str) -> tuple[float, float]:
    began_s = ended_s = None
    for one in events:
        match one:
            case TimedEvent(float(t_s), SweepBegun(id=begun)) if begun == sweep_id:
                began_s = t_s
            case TimedEvent(float(t_s), SweepTaken(id=taken, from_s=from_s, to_s=to_s)) if taken == sweep_id:
                ended_s, turns_s = t_s, (from_s, to_s)
    if began_s is None or ended_s is None:
        raise BadInput(f"sweep {sweep_id} has no beginning or no readings: take it again")
    from_s, to_s = turns_s
    return (began_s, ended_s) if from_s is None or to_s is None else (from_s - MARGIN_S, to_s + MARGIN_S)


def _marks_before(events: tuple[TimedEvent, ...], from_s: float) -> tuple[TimedEvent, ...]:
    """Return the marks that were in force when the excerpt began: they tell the index angle."""
    newest: dict[MarkSide, TimedEvent] = {}
    for one in events:
        if (one.t_s or 0.0) >= from_s:
            continue
        match one.event:
            case MarkTouched(on):
                newest[on] = one
            case MarkUndone(on):
                newest.pop(on, None)
    return tuple(newest.values())


def _link_of(link: LinkCounts, before: LinkCounts, from_s: float, to_s: float, again: bool) -> LinkCounts:
    gone = {name: max(0, getattr(link, name) - getattr(before, name)) for name in COUNTED}
    gaps = tuple(gap for gap in link.gaps if gap.end_s > from_s and gap.start_s < to_s)
    return replace(link, **gone, restarts=link.restarts if again else 0, gaps=gaps)
