"""What was read at every degree of the turn, as the curve was fitted to it: for drawing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Capture, Floats
from analysis.results import SweepResult
from analysis.sweep.corrections import corrected
from analysis.sweep.lateness import turned_back
from analysis.sweep.pooling import PooledTurns, pool_turns

DEGREES = 360


def readings_by_degree(capture: Capture, result: SweepResult) -> tuple[Floats, Floats]:
    """Return the lowest and the highest reading in each degree, mm about the curve's mean, shape (360,) each.

    Those of the turns put together that count, at the angles and with the corrections of the result, its
    drift taken off; NaN where nothing counts. Of a long sweep they are those of the turns kept.
    """
    pool, height_mm = _heights(capture, result)
    at = np.floor(np.degrees(pool.values.angle_rad)).astype(np.int64) % DEGREES
    low, high = np.full(DEGREES, np.inf), np.full(DEGREES, -np.inf)
    np.minimum.at(low, at, height_mm)
    np.maximum.at(high, at, height_mm)
    nothing = ~np.isfinite(low)
    low[nothing] = high[nothing] = np.nan
    return low, high


@dataclass(frozen=True, slots=True)
class Residuals:
    """How far readings lie from the curve, in the order they were taken; arrays of shape (n,)."""

    t_s: Floats
    """From the first of them."""
    angle_deg: Floats
    """0 to 360, as the curve's."""
    turn: NDArray[np.int64]
    """Position of its turn in ``result.turns``."""
    off_mm: Floats
    """Above the curve."""


def residuals(capture: Capture, result: SweepResult) -> Residuals:
    """Return them of the readings that ``readings_by_degree`` counts."""
    pool, height_mm = _heights(capture, result)
    angle_deg = np.degrees(pool.values.angle_rad) % DEGREES
    curve_mm = np.interp(angle_deg, result.curve_deg, result.curve_mm, period=360.0)
    t_s = pool.values.t_s
    return Residuals(t_s - t_s[0], angle_deg, pool.turn, height_mm - curve_mm)


def _heights(capture: Capture, result: SweepResult) -> tuple[PooledTurns, Floats]:
    """Return the turns put together, and the height about the curve's mean of every reading that counts."""
    pool = pool_turns(turned_back(corrected(capture), result.lag.lag_s), result.left_out, None)
    values, drift = pool.values, result.pooled.drift_mm_per_s or 0.0
    middle_s = (pool.turns[0].start_s + pool.turns[-1].end_s) / 2.0
    return pool, values.reading_mm - result.mean_mm - drift * (values.t_s - middle_s)
