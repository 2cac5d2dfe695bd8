"""What was read at every degree of the turn, as the curve was fitted to it: for drawing."""

import numpy as np

from analysis.capture import Capture, Floats
from analysis.results import SweepResult
from analysis.sweep.corrections import corrected
from analysis.sweep.lateness import turned_back
from analysis.sweep.pooling import pool_turns

DEGREES = 360


def readings_by_degree(capture: Capture, result: SweepResult) -> tuple[Floats, Floats]:
    """Return the lowest and the highest reading in each degree, mm about the curve's mean, shape (360,) each.

    Those of the turns put together that count, at the angles and with the corrections of the result, its
    drift taken off; NaN where nothing counts. Of a long sweep they are those of the turns kept.
    """
    pool = pool_turns(turned_back(corrected(capture), result.lag.lag_s), result.left_out, None)
    values, drift = pool.values, result.pooled.drift_mm_per_s or 0.0
    middle_s = (pool.turns[0].start_s + pool.turns[-1].end_s) / 2.0
    height_mm = values.reading_mm - result.mean_mm - drift * (values.t_s - middle_s)
    at = np.floor(np.degrees(values.angle_rad)).astype(np.int64) % DEGREES
    low, high = np.full(DEGREES, np.inf), np.full(DEGREES, -np.inf)
    np.minimum.at(low, at, height_mm)
    np.maximum.at(high, at, height_mm)
    nothing = ~np.isfinite(low)
    low[nothing] = high[nothing] = np.nan
    return low, high
