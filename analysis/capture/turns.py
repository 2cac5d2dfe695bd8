"""Whole turns out of a stream of angles taken by a hand that stops, goes back and goes on again.

A turn is everything between two passings of the mark in one run of the hand. Ground that is trodden
again after going back counts once, as it was met first; going back by half a turn or more starts a new
run the other way. Knows nothing of readings.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture.samples import Floats, Samples

FULL_TURN_RAD = 2.0 * math.pi
REVERSAL_RAD = math.pi
"""Going back less than this is a hand that hesitates; more is a hand that turns the other way."""
_AHEAD = 256
"""Samples among which the end of a run is looked for first; if not there, among twice as many."""
WIDEST_END_GAP_RAD = math.radians(30.0)
"""The most that may be missing at either end of a turn that samples are too sparse to close exactly."""


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
        up = _first(rest - lowest >= REVERSAL_RAD)
        down = _first(highest - rest >= REVERSAL_RAD)
        if up is None and down is None:
            if not whole:
                ahead *= 2
                continue
            runs.append(Run(1 if rest[-1] >= rest[0] else -1, start, n))
            break
        direction = 1 if down is None or (up is not None and up < down) else -1
        retreat = (highest - rest) if direction > 0 else (rest - lowest)
        turned = up if direction > 0 else down
        assert turned is not None
        back = _first(retreat[turned:] >= REVERSAL_RAD)
        if back is None:
            if not whole:
                ahead *= 2
                continue
            runs.append(Run(direction, start, n))
            break
        travelled = rest[: turned + back + 1]
        last = int(np.argmax(travelled) if direction > 0 else np.argmin(travelled))
        runs.append(Run(direction, start, start + last + 1))
        start, ahead = start + last + 1, _AHEAD
    return runs


def cut_turns(samples: Samples) -> list[Turn]:
    """Return every full turn of the samples, in the order they were ended.

    A turn counts as full where its run passed both its boundaries, or came within one and a half typical
    steps of them (readings ten degrees apart close at 350).
    """
    turns: list[Turn] = []
    segments, firsts = np.unique(np.sort(samples.segment), return_index=True)
    by_segment = np.split(np.argsort(samples.segment, kind="stable"), firsts[1:])
    for segment, inside in zip(segments, by_segment, strict=False):
        angle = samples.angle_rad[inside]
        for run in split_runs(angle):
            turns += _turns_of_run(samples, inside[run.start : run.stop], run.direction, int(segment))
    return sorted(turns, key=lambda turn: turn.end_s)


def _turns_of_run(samples: Samples, where: NDArray[np.intp], direction: int, segment: int) -> list[Turn]:
    travel = samples.angle_rad[where] * direction
    furthest = np.maximum.accumulate(travel)
    # Up to a ten-thousandth of a turn behind is a hand that trembles by a count, not one that goes back.
    fresh = travel >= furthest - FULL_TURN_RAD * 1e-4
    where, travel = where[fresh], travel[fresh]
    furthest = np.maximum.accumulate(travel)
    steps = np.diff(furthest)
    steps = steps[steps > FULL_TURN_RAD * 1e-6]
    if len(steps) == 0:
        return []
    slack = min(1.5 * float(np.median(steps)), WIDEST_END_GAP_RAD)
    # A reading a rounding error short of the mark belongs to the turn it begins.
    place = np.floor(furthest / FULL_TURN_RAD + 1e-9).astype(np.int64)
    turns = []
    times = samples.t_s[where]
    first = math.ceil((furthest[0] - slack) / FULL_TURN_RAD)
    last = math.floor((furthest[-1] + slack) / FULL_TURN_RAD)
    # Only turns in which there are readings: one wild count is half a million turns further on.
    met, lows, readings = np.unique(place, return_index=True, return_counts=True)
    for at in np.flatnonzero((readings >= 3) & (met >= first) & (met < last)):
        k, low, high = int(met[at]), lows[at], lows[at] + readings[at]
        passed_s = np.interp([k * FULL_TURN_RAD, (k + 1) * FULL_TURN_RAD], furthest, times)
        number = k if direction > 0 else -k - 1
        turns.append(
            Turn(number, direction, segment, where[low:high], float(passed_s[0]), float(passed_s[1]))
        )
    return turns


def _first(mask: NDArray[np.bool_]) -> int | None:
    return int(np.argmax(mask)) if mask.any() else None


def largest_gap_deg(angle_rad: Floats) -> float:
    """Return the largest angle, in degrees, round the circle that has no reading in it."""
    return coverage_and_gap_deg(angle_rad)[1]


def coverage_and_gap_deg(angle_rad: Floats, reach_deg: float = 6.0) -> tuple[float, float]:
    """Return the share (0 to 1) of the circle that lies near a reading, and the largest angle without any.

    Near is within ``reach_deg``; the largest angle is in degrees.
    """
    if len(angle_rad) == 0:
        return 0.0, 360.0
    around = np.mod(angle_rad, FULL_TURN_RAD)
    steps = np.diff(around)
    if len(steps) and steps.min() < 0.0:
        around = np.sort(around)
        steps = np.diff(around)
    gaps = np.append(steps, around[0] + FULL_TURN_RAD - around[-1])
    largest_deg = math.degrees(float(gaps.max()))
    beyond = gaps[gaps > math.radians(2.0 * reach_deg)]
    left_deg = math.degrees(float(beyond.sum())) - 2.0 * reach_deg * len(beyond)
    return 1.0 - left_deg / 360.0, largest_deg
