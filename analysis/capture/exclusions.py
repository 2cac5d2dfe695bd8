"""What is left out of a sweep, windows of the turn and turns: declared holes, typed, or by a person's word.

Everything left out has a reason. What a person said is an event and can be taken back: nothing is removed.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.capture.events import ExclusionUndone, SweepBroken, TimedEvent, TurnExcluded, WindowExcluded
from analysis.capture.samples import Bools, Floats
from analysis.capture.turns import Turn
from analysis.errors import BadInput
from analysis.setup import Hole, MarkSide, Setup
from analysis.units import parse_angle

WITHOUT_REASON = "left out"


@dataclass(frozen=True, slots=True)
class Window:
    """An angular window, degrees from the mark of the sweep, growing from ``start_deg`` to ``end_deg``."""

    start_deg: float
    end_deg: float
    reason: str

    @property
    def width_deg(self) -> float:
        """Width, 0 to 360 degrees; a window may run over the mark."""
        return (self.end_deg - self.start_deg) % 360.0

    def holds(self, deg: Floats) -> Bools:
        """Return where these angles (degrees) lie inside."""
        inside: Bools = np.mod(deg - self.start_deg, 360.0) <= self.width_deg
        return inside


def parse_window(text: str) -> Window:
    """Read ``FROM:TO=REASON`` with FROM and TO in degrees; the reason is not optional."""
    match = re.fullmatch(r"\s*([^:=]+):([^:=]+)=(.*)", text)
    if match is None or not match.group(3).strip():
        raise BadInput(
            f"--leave-out {text!r} is not FROM:TO=REASON: write the two angles in degrees and why, "
            'as "40:52=keyway"'
        )
    start, end = (parse_angle(match.group(k), "--leave-out angle") for k in (1, 2))
    window = Window(start % 360.0, end % 360.0, match.group(3).strip())
    if not 0.0 < window.width_deg <= 180.0:
        raise BadInput(
            f"--leave-out {text!r} leaves out {window.width_deg:g} degrees: a window may be up to "
            f"180 degrees wide"
        )
    return window


def holes_in_sweep(setup: Setup) -> tuple[Hole, ...]:
    """Return the declared holes at their angles from the sweep's own mark."""
    # Holes are the part's; a sweep that starts at the arbor's mark sees them later by the index angle.
    shift = (setup.index_angle_deg or 0.0) if setup.mark_on == MarkSide.ARBOR else 0.0
    return tuple(replace(hole, deg=(hole.deg + shift) % 360.0) for hole in setup.holes)


def windows_of_setup(setup: Setup) -> list[Window]:
    """Return the windows of the declared holes that have a width, from the sweep's own mark."""
    return [
        window_about(hole.deg, hole.width_deg, "hole") for hole in holes_in_sweep(setup) if hole.width_deg > 0
    ]


def window_about(deg: float, width_deg: float, reason: str) -> Window:
    """Return the window so wide about an angle, degrees."""
    return Window((deg - width_deg / 2) % 360.0, (deg + width_deg / 2) % 360.0, reason)


def kept(angle_rad: Floats, windows: Sequence[Window]) -> Bools:
    """Return where the angles (rad) lie outside all windows, shape (n,)."""
    keep = np.ones(len(angle_rad), bool)
    deg = np.degrees(angle_rad)
    for window in windows:
        keep &= ~window.holds(deg)
    return keep


def in_force(events: Sequence[TimedEvent]) -> Iterator[TurnExcluded | WindowExcluded]:
    """Yield what a person excluded and did not take back, in order."""
    undone = {one.event.id for one in events if isinstance(one.event, ExclusionUndone)}
    for one in events:
        if isinstance(one.event, TurnExcluded | WindowExcluded) and one.event.id not in undone:
            yield one.event


@dataclass(frozen=True, slots=True)
class LeftOutByPerson:
    """What a person left out of one sweep."""

    turns: tuple[tuple[str, str], ...]
    """Each turn, as ``turn 3``, with its reason; windows stand in the result."""
    events: tuple[TimedEvent, ...]
    """The events as if nothing had been left out."""


def left_out_by_person(events: Sequence[TimedEvent]) -> LeftOutByPerson | None:
    """Return what a person left out and did not take back; None where that is nothing."""
    gone = list(in_force(events))
    if not gone:
        return None
    turns = tuple(
        (
            "a turn" if one.turn is None else f"turn {one.turn + 1}",
            one.reason or WITHOUT_REASON,
        )
        for one in gone
        if isinstance(one, TurnExcluded)
    )
    others = tuple(one for one in events if not any(one.event is left_out for left_out in gone))
    return LeftOutByPerson(turns, others)


def words_of_exclusion(events: Sequence[TimedEvent]) -> tuple[TimedEvent, ...]:
    """Return the events that leave something out, or take that back, timed only where their time counts."""
    words = (TurnExcluded, WindowExcluded, ExclusionUndone)
    return tuple(
        one if isinstance(one.event, SweepBroken) else TimedEvent(None, one.event)
        for one in events
        if isinstance(one.event, (*words, SweepBroken))
    )


def windows_of_events(events: Sequence[TimedEvent]) -> tuple[Window, ...]:
    """Return the windows left out by a person's word."""
    return tuple(
        Window(one.from_deg, one.to_deg, one.reason or WITHOUT_REASON)
        for one in in_force(events)
        if isinstance(one, WindowExcluded)
    )


def reason_left_out(turn: Turn, events: Sequence[TimedEvent]) -> str | None:
    """Return why a turn was left out by a person's word, or began before the sweep broke; None if neither."""
    if (broke := reason_broken(turn, events)) is not None:
        return broke
    middle_s = 0.5 * (turn.start_s + turn.end_s)
    for one in in_force(events):
        if isinstance(one, TurnExcluded) and one.from_s <= middle_s <= one.to_s:
            return one.reason or WITHOUT_REASON
    return None


def reason_broken(turn: Turn, events: Sequence[TimedEvent]) -> str | None:
    """Return why a turn counts no more because the sweep broke after it began; None where it did not."""
    broken = [
        (one.t_s, one.event.why)
        for one in events
        if isinstance(one.event, SweepBroken) and one.t_s is not None
    ]
    if broken and turn.start_s < broken[-1][0]:
        return f"it began before {broken[-1][1]}"
    return None
