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
    _, angle_rad, height_mm = _heights(capture, result)
    at = np.floor(np.degrees(angle_rad)).astype(np.int64) % DEGREES
    low, high = np.full(DEGREES, np.inf), np.full(DEGREES, -np.inf)
    np.minimum.at(low, at, height_mm)
    np.maximum.at(high, at, height_mm)
    nothing = ~np.isfinite(low)
    low[nothing] = high[nothing] = np.nan
    return low, high


def residuals_in_time(capture: Capture, result: SweepResult) -> tuple[Floats, Floats]:
    """Return when the readings that ``readings_by_degree`` counts were taken, and how far each is off.

    Times in s from the first, and mm above the curve, shape (n,) each.
    """
    t_s, angle_rad, height_mm = _heights(capture, result)
    curve_mm = np.interp(np.degrees(angle_rad), result.curve_deg, result.curve_mm, period=360.0)
    return t_s - t_s[0], height_mm - curve_mm


def _heights(capture: Capture, result: SweepResult) -> tuple[Floats, Floats, Floats]:
    """Return time, angle and height about the curve's mean of every reading that counts."""
    pool = pool_turns(turned_back(corrected(capture), result.lag.lag_s), result.left_out, None)
    values, drift = pool.values, result.pooled.drift_mm_per_s or 0.0
    middle_s = (pool.turns[0].start_s + pool.turns[-1].end_s) / 2.0
    height_mm = values.reading_mm - result.mean_mm - drift * (values.t_s - middle_s)
    return values.t_s, values.angle_rad, height_mm
