"""What a full turn is, where a hand turned round, and how much of the circle was seen.

Going back by half a turn or more starts a new run the other way. Knows nothing of readings.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture.samples import Floats

FULL_TURN_RAD = 2.0 * math.pi
REVERSAL_RAD = math.pi
"""Going back less than this is a hand that hesitates; more is a hand that turns the other way."""
_AHEAD = 256
"""Samples among which the end of a run is looked for first; if not there, among twice as many."""


@dataclass(frozen=True)
class Turn:
    """One full turn."""

    number: int
    """Which whole turn from the mark it is: the turn [2 pi k, 2 pi (k + 1)) has number k."""
    direction: int
    """+1 turned with growing angle, -1 against it."""
    segment: int
    """Stretch of the samples it lies in."""
    where: NDArray[np.intp]
    """Indices of its samples, in the order taken, ground trodden twice left out."""
    start_s: float
    """Device time at which its first boundary was passed."""
    end_s: float
    """Device time at which its last boundary was passed."""

    @property
    def rpm(self) -> float:
        """Mean speed in turns a minute; 0 where the times do not tell."""
        lasted_s = self.end_s - self.start_s
        return 60.0 / lasted_s if lasted_s > 0 else 0.0


@dataclass(frozen=True)
class Run:
    """A stretch in which the hand went one way."""

    direction: int
    start: int
    """First sample."""
    stop: int
    """One past the last sample."""


def split_runs(angle_rad: Floats) -> list[Run]:
    """Return the runs of one way of turning; a run ends where the hand goes back by half a turn or more."""
    runs: list[Run] = []
    start, n, ahead = 0, len(angle_rad), _AHEAD
    while start < n:
        # Only so far ahead as the run goes on: each looking to the end, wild counts would cost their square.
        rest = angle_rad[start : start + ahead]
        whole = start + ahead >= n
        highest, lowest = np.maximum.accumulate(rest), np.minimum.accumulate(rest)
        direction, _ = way_gone(rest, highest, lowest)
        back = turned_back(rest * direction, highest if direction > 0 else -lowest) if direction else None
        if back is None:
            if not whole:
                ahead *= 2
                continue
            runs.append(Run(direction or (1 if rest[-1] >= rest[0] else -1), start, n))
            break
        last = int(np.argmax(rest[: back + 1] * direction))
        runs.append(Run(direction, start, start + last + 1))
        start, ahead = start + last + 1, _AHEAD
    return runs


def way_gone(angle_rad: Floats, highest_rad: Floats, lowest_rad: Floats) -> tuple[int, int]:
    """Return which way half a turn was gone first, 0 for neither, and after how many of these samples.

    ``highest_rad`` and ``lowest_rad`` so far, at each of them.
    """
    up = _first(angle_rad - lowest_rad >= REVERSAL_RAD)
    down = _first(highest_rad - angle_rad >= REVERSAL_RAD)
    if up is not None and (down is None or up < down):
        return 1, up + 1
    return (0, len(angle_rad)) if down is None else (-1, down + 1)


def turned_back(travel_rad: Floats, furthest_rad: Floats) -> int | None:
    """Return the first sample at which the hand has gone back so far that its run is over; None for none."""
    return _first(furthest_rad - travel_rad >= REVERSAL_RAD)


def _first(mask: NDArray[np.bool_]) -> int | None:
    at = int(np.argmax(mask)) if len(mask) else 0
    return at if len(mask) and mask[at] else None


def largest_gap_deg(angle_rad: Floats) -> float:
    """Return the largest angle, in degrees, round the circle that has no reading in it."""
    return coverage_and_gap_deg(angle_rad)[1]


def coverage_and_gap_deg(angle_rad: Floats, reach_deg: float = 6.0) -> tuple[float, float]:
    """Return the share (0 to 1) of the circle that lies near a reading, and the largest angle without any.

    Near is within ``reach_deg``; the largest angle is in degrees.
    """
    if len(angle_rad) == 0:
        return 0.0, 360.0
    steps, span = np.diff(angle_rad), float(angle_rad[-1] - angle_rad[0])
    if len(steps) and span < 0.0:
        steps, span = -steps, -span
    if not (span <= FULL_TURN_RAD and (not len(steps) or steps.min() >= 0.0)):
        around = np.sort(np.mod(angle_rad, FULL_TURN_RAD))
        steps, span = np.diff(around), float(around[-1] - around[0])
    gaps = np.append(steps, FULL_TURN_RAD - span)
    largest_deg = math.degrees(float(gaps.max()))
    beyond = gaps[gaps > math.radians(2.0 * reach_deg)]
    left_deg = math.degrees(float(beyond.sum())) - 2.0 * reach_deg * len(beyond)
    return 1.0 - left_deg / 360.0, largest_deg
