"""The points of a sweep that was read at a few places."""

import math

import numpy as np

from analysis.sweep.fitting import FittedSweep
from analysis.uncertainty import Points


def points_of(f: FittedSweep) -> Points:
    """Return the points of a fitted sweep; a round with other places than the rest is not averaged."""
    values, turn = f.pool.values, f.pool.turn
    rounds = [np.flatnonzero(turn == k) for k in np.unique(turn)]
    digit = f.digit_mm / math.sqrt(12.0)
    angle = np.mod(values.angle_rad, 2.0 * math.pi)
    if len(rounds) < 2 or len({len(each) for each in rounds}) > 1:
        return Points(angle, values.reading_mm, digit)
    ordered = [each[np.argsort(angle[each])] for each in rounds]
    readings = np.array([values.reading_mm[each] for each in ordered])
    between = math.sqrt(float(np.mean(np.var(readings, axis=0, ddof=1))) / len(rounds))
    return Points(angle[ordered[0]], readings.mean(axis=0), max(between, digit))
