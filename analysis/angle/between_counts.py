"""Angles between the counts of an encoder of few counts, told by the times at which the counts changed.

A count of 36 a turn stands for ten degrees; between two changes the part is taken to have turned evenly. What
lies before the first change and after the last, what was gone back, and spans in which it stood are not told.
"""

import math

import numpy as np

from analysis.capture import Floats, split_runs

FEW_COUNTS = 360
"""An encoder with fewer counts a turn has its angles told between them."""
U_COUNTS = 0.05
"""Standard uncertainty of an angle from uneven turning within a count, in counts (own trial)."""
_STANDING = 2.5
"""A span so many times the usual one is one in which the hand stood."""


def angles_between_counts(
    t_s: Floats, count: Floats, counts_per_turn: float, *, to_the_ends: bool = False
) -> Floats:
    """Return the angle of each reading in counts; NaN where none can be told.

    Parameters: times and unwrapped counts of one stretch, shape (n,). Count c stands for [c, c + 1). A count
    is reached at the middle of the time between the two readings about its change; where several were passed
    at once, their middle was. ``to_the_ends``: the stretch goes on before its first change and after its last
    as fast as beside it, so long as that stays within the count. Recipe: own derivation.
    """
    angle = np.full(len(count), np.nan)
    for run in split_runs(count * (2.0 * math.pi / counts_per_turn)):
        here = slice(run.start, run.stop)
        ends = (to_the_ends and run.start == 0, to_the_ends and run.stop == len(count))
        _fill(angle[here], t_s[here], count[here], run.direction, ends)
    return angle


def _fill(angle: Floats, t_s: Floats, count: Floats, direction: int, ends: tuple[bool, bool]) -> None:
    """Fill in the angles of one run, before its first change and after its last where so asked."""
    ahead = count * direction
    furthest = np.maximum.accumulate(ahead)
    new = np.flatnonzero(np.diff(furthest) > 0) + 1
    if len(new) < 2:
        return
    edge_s = (t_s[new - 1] + t_s[new]) / 2.0
    # Turning on, count c is reached at c; turning back, it is left for at c + 1.
    passed = (furthest[new - 1] + furthest[new] + 1.0) / 2.0 - (0.0 if direction > 0 else 1.0)
    interpolated = np.interp(t_s, edge_s, passed)
    spans_s = np.diff(edge_s) / np.maximum(np.diff(passed), 1.0)
    span = np.clip(np.searchsorted(edge_s, t_s) - 1, 0, len(spans_s) - 1)
    known = (t_s >= edge_s[0]) & (t_s <= edge_s[-1]) & (ahead == furthest)
    known &= spans_s[span] <= _STANDING * float(np.median(spans_s))
    angle[known] = interpolated[known] * direction
    for wanted, at, beside, outside in (
        (ends[0], 0, 1, t_s < edge_s[0]),
        (ends[1], -1, -2, t_s > edge_s[-1]),
    ):
        pace = (passed[beside] - passed[at]) / (edge_s[beside] - edge_s[at])
        onward = passed[at] + (t_s - edge_s[at]) * pace
        near = wanted & outside & (ahead == furthest) & (np.abs(onward - passed[at]) <= 1.0)
        angle[near] = onward[near] * direction
