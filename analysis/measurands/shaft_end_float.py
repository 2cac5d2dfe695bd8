"""A shaft pushed home and pulled out: how far it comes, and whether a face sweep can be believed with it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.capture import Capture, Floats
from analysis.capture.events import Event, Pulled, Pushed, TimedEvent
from analysis.checks import CheckId, thresholds_of
from analysis.errors import BadInput
from analysis.numerics import Component, UncertainNumber
from analysis.results import CheckState

_FEWEST = 3
_STANDS_RAD = math.pi
"""A shaft that is pushed and pulled may turn a little by itself."""
_SETTLED = 0.5
"""The first half of a hold counts: the hand lets go before it notes the next."""


@dataclass(frozen=True)
class EndFloat:
    """What the push-pull capture says."""

    end_float: UncertainNumber
    cycles: int
    each_mm: tuple[float, ...]
    """Float of every push and pull."""
    share_of_limit: float | None
    """None where no limit was entered."""
    state: CheckState | None
    """Of a face sweep taken with it; None without a limit."""


def end_float(capture: Capture, limit_mm: float | None = None, *, own_limit: bool = False) -> EndFloat:
    """Return the end float of a push-pull capture.

    Parameters: the capture, with ``push`` and ``pull`` events or without (then the two levels are told from
    the readings); the limit (mm) of the runout to be measured, or with ``own_limit`` of the end float itself.
    The float goes straight into a face reading: over 0.1 of the limit it is doubtful, over 0.5 refused.
    Raises BadInput where the part was turned, or neither push nor pull is to be seen.
    """
    s = capture.samples
    kept = s.new & ~s.out_of_range
    t_s, reading = s.t_s[kept], s.reading_mm[kept]
    turned = float(np.ptp(s.angle_rad)) if len(s) else 0.0
    if turned > _STANDS_RAD:
        raise BadInput(
            f"the part was turned by {math.degrees(turned):.0f} deg: end float is taken standing; push the "
            "shaft home and pull it out without turning it"
        )
    if len(reading) < 2 * _FEWEST:
        raise BadInput(f"{len(reading)} readings: push the shaft home and pull it out, three times or more")
    holds = _holds_by_events(t_s, reading, capture.events) or _holds_by_levels(reading)
    each = tuple(abs(after - before) for before, after in pairwise(holds))
    if not each:
        raise BadInput("no push followed by a pull in this capture: note push and pull, or do both")
    value = float(np.median(each))
    parts = {"resolution": Component(capture.resolution_mm / math.sqrt(6.0))}
    if len(each) > 1:
        parts["cycle to cycle"] = Component(float(np.std(each, ddof=1)) / math.sqrt(len(each)), len(each) - 1)
    known = UncertainNumber(value, parts, least=0.0)
    if limit_mm is None:
        return EndFloat(known, len(each), each, None, None)
    if not limit_mm > 0.0:
        raise BadInput(f"limit {limit_mm:g} mm is not above zero: write the maker's own limit")
    share = value / limit_mm
    if own_limit:
        state = CheckState.REFUSED if share > 1.0 else CheckState.CLEAR
    else:
        state = thresholds_of(CheckId.END_FLOAT).grade(share)
    return EndFloat(known, len(each), each, share, state)


def _holds_by_events(t_s: Floats, reading: Floats, events: Sequence[TimedEvent]) -> list[float]:
    """Return the level held after each push and pull, in turn; only where the two take turns."""
    noted = [
        (one.t_s, one.event)
        for one in events
        if isinstance(one.event, Pushed | Pulled) and one.t_s is not None
    ]
    holds: list[float] = []
    before: Event | None = None
    for k, (at_s, what) in enumerate(noted):
        until = noted[k + 1][0] if k + 1 < len(noted) else float(t_s[-1])
        here = reading[(t_s >= at_s) & (t_s <= at_s + _SETTLED * (until - at_s))]
        if what == before:
            holds.pop()
        if len(here) >= _FEWEST:
            holds.append(float(np.median(here)))
            before = what
    return holds


def _holds_by_levels(reading: Floats) -> list[float]:
    """Return the level of each stretch on one side of the middle, moving from side to side left out."""
    low, high = np.quantile(reading, [0.1, 0.9])
    third = (high - low) / 3.0
    side = np.where(reading >= high - third, 1, np.where(reading <= low + third, -1, 0))
    settled = np.flatnonzero(side)
    if not third > 0.0 or not len(settled):
        return []
    cuts = np.flatnonzero(np.diff(side[settled])) + 1
    return [
        float(np.median(reading[part]))
        for part in np.split(settled, cuts)
        if len(part) >= _FEWEST
    ]  # fmt: skip
