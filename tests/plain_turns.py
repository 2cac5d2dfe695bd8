"""The plain way to cut turns: of whole arrays at once, run by run. The judge of the cutter; never changed for speed."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats, Samples, Turn

FULL_TURN_RAD = 2.0 * math.pi
REVERSAL_RAD = math.pi
WIDEST_END_GAP_RAD = math.radians(30.0)


@dataclass(frozen=True)
class PlainRun:
    """A stretch in which the hand went one way."""

    direction: int
    start: int
    """First sample."""
    stop: int
    """One past the last sample."""


def _split_runs(angle_rad: Floats) -> list[PlainRun]:
    """Return the runs of one way of turning; a run ends where the hand goes back by half a turn or more."""
    runs: list[PlainRun] = []
    start, n = 0, len(angle_rad)
    while start < n:
        rest = angle_rad[start:]
        highest, lowest = np.maximum.accumulate(rest), np.minimum.accumulate(rest)
        up = _first(rest - lowest >= REVERSAL_RAD)
        down = _first(highest - rest >= REVERSAL_RAD)
        if up is None and down is None:
            runs.append(PlainRun(1 if rest[-1] >= rest[0] else -1, start, n))
            break
        direction = 1 if down is None or (up is not None and up < down) else -1
        retreat = (highest - rest) if direction > 0 else (rest - lowest)
        turned = up if direction > 0 else down
        assert turned is not None
        back = _first(retreat[turned:] >= REVERSAL_RAD)
        if back is None:
            runs.append(PlainRun(direction, start, n))
            break
        travelled = rest[: turned + back + 1]
        last = int(np.argmax(travelled) if direction > 0 else np.argmin(travelled))
        runs.append(PlainRun(direction, start, start + last + 1))
        start += last + 1
    return runs


def plain_turns(samples: Samples) -> list[Turn]:
    """Return every full turn of the samples, in the order they were ended.

    A turn counts as full where its run passed both its boundaries, or came within one and a half typical
    steps of them (readings ten degrees apart close at 350).
    """
    turns: list[Turn] = []
    for segment in np.unique(samples.segment):
        inside = np.flatnonzero(samples.segment == segment)
        angle = samples.angle_rad[inside]
        for run in _split_runs(angle):
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
    for k in range(first, last):
        low, high = np.searchsorted(place, [k, k + 1])
        if high - low < 3:
            continue
        passed_s = np.interp([k * FULL_TURN_RAD, (k + 1) * FULL_TURN_RAD], furthest, times)
        number = k if direction > 0 else -k - 1
        turns.append(
            Turn(number, direction, segment, where[low:high], float(passed_s[0]), float(passed_s[1]))
        )
    return turns


def _first(mask: NDArray[np.bool_]) -> int | None:
    return int(np.argmax(mask)) if mask.any() else None
