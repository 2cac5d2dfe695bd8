"""Where a shaft that is pushed home and pulled out was held, and how far each hold lies from the one before.

A hold counts only if it lasts half a second and lies five steps of the gauge and five widths of the noise
from the one before: what a shaft that stands still shows is no float.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from analysis.capture import Floats
from analysis.capture.events import Event, Pulled, Pushed, TimedEvent

HOLD_S = 0.5
APART = 5.0
"""Steps of the gauge, and widths of the noise, that two holds lie apart at least."""
FLOATS_WANTED = 3
"""So many moves from hold to hold make an end float; with fewer it is not measured."""

_GRID_S = 0.05
_STALE_S = 1.0
"""A reading older than this holds no more: nothing came meanwhile."""
_CREEP = 0.15
"""A hand that pushes creeps: within this share of all that is seen a hold is level."""
_SETTLED = 0.5
"""The first half of a noted hold counts: the hand lets go before it notes the next."""
_NOISE_OF_MEDIAN = 0.6745 * math.sqrt(2.0)
"""The median difference of two readings of normal noise, in standard deviations."""


@dataclass(frozen=True, slots=True)
class _Hold:
    """One hold."""

    level_mm: float
    width_mm: float
    """Standard deviation of its readings."""


def push_pull_floats(
    t_s: Floats, reading_mm: Floats, step_mm: float, events: Sequence[TimedEvent] = ()
) -> tuple[float, ...]:
    """Return how far (mm) each hold lies from the one before; empty where none does.

    Parameters: times (s, rising) and readings (mm), both of shape (n,); the gauge's step (mm); the events of
    the capture, whose pushes and pulls tell the holds where they were noted, else the readings do.
    """
    if len(reading_mm) < 2:
        return ()
    noise_mm = float(np.median(np.abs(np.diff(reading_mm)))) / _NOISE_OF_MEDIAN
    noted = _noted_holds(t_s, reading_mm, events)
    return _floats(noted or _level_holds(t_s, reading_mm, max(step_mm, noise_mm)), step_mm, noise_mm)


def _floats(holds: Sequence[_Hold], step_mm: float, noise_mm: float) -> tuple[float, ...]:
    found: list[float] = []
    before: _Hold | None = None
    for hold in holds:
        if before is None:
            before = hold
            continue
        float_mm = abs(hold.level_mm - before.level_mm)
        least_mm = APART * max(step_mm, noise_mm, hold.width_mm, before.width_mm)
        if float_mm > 0.0 and float_mm >= least_mm:
            found.append(float_mm)
            before = hold
    return tuple(found)


def _noted_holds(t_s: Floats, reading_mm: Floats, events: Sequence[TimedEvent]) -> list[_Hold]:
    """Return what was held after each push and pull, in turn; only where the two take turns."""
    noted = [
        (one.t_s, one.event)
        for one in events
        if isinstance(one.event, Pushed | Pulled) and one.t_s is not None
    ]
    holds: list[_Hold] = []
    before: Event | None = None
    for k, (at_s, what) in enumerate(noted):
        until_s = noted[k + 1][0] if k + 1 < len(noted) else float(t_s[-1])
        here = reading_mm[(t_s >= at_s) & (t_s <= at_s + _SETTLED * (until_s - at_s))]
        if what == before:
            holds.pop()
        if until_s - at_s >= HOLD_S and len(here):
            holds.append(_Hold(float(np.median(here)), float(np.std(here))))
            before = what
    return holds


def _level_holds(t_s: Floats, reading_mm: Floats, fine_mm: float) -> list[_Hold]:
    """Return every stretch that stays level for long enough, moving from one to the next left out."""
    at_s = t_s[0] + _looked_at(t_s) * ((t_s[0] + _GRID_S) - t_s[0])  # as arange steps, to the last digit
    newest = np.searchsorted(t_s, at_s + _GRID_S / 4.0, side="right") - 1
    value = np.where(at_s - t_s[newest] <= _STALE_S, reading_mm[newest], np.nan)
    wide = round(HOLD_S / _GRID_S) + 1
    if len(value) < wide:
        return []
    level_mm = max(APART * fine_mm, _CREEP * float(np.ptp(reading_mm)))
    rows = np.sort(sliding_window_view(value, wide), axis=1)
    # One reading at either end may be of the move; NaN is sorted last, and nothing is level beside it.
    starts = np.flatnonzero((rows[:, -2] - rows[:, 1] < level_mm) & np.isfinite(rows[:, -1]))
    runs = np.split(starts, np.flatnonzero(np.diff(starts) > 1) + 1) if len(starts) else []
    holds = [value[run[0] : run[-1] + wide] for run in runs]
    return [_Hold(float(np.median(hold)), _width(hold)) for hold in holds]


def _looked_at(t_s: Floats) -> NDArray[np.int64]:
    """Return the places of an even grid from the first reading on, those long after any reading left out.

    Of each stretch in which nothing came one stays that no reading holds at: what it parts stays parted.
    """
    stretch = np.flatnonzero(np.diff(t_s) > 4.0 * _STALE_S) + 1
    first = np.concatenate([t_s[:1], t_s[stretch]])
    last = np.concatenate([t_s[stretch - 1] + 2.0 * _STALE_S, t_s[-1:] + _GRID_S / 2.0])
    from_grid = np.ceil((first - t_s[0]) / _GRID_S - 0.5).astype(np.int64)
    to_grid = np.ceil((last - t_s[0]) / _GRID_S).astype(np.int64)
    return np.concatenate([np.arange(low, high) for low, high in zip(from_grid, to_grid, strict=True)])


def _width(hold: Floats) -> float:
    """Return the width of what was held, from its middle half: at its ends the shaft moves."""
    low, high = np.quantile(hold, [0.25, 0.75])
    return float(high - low) / (2.0 * 0.6745)
