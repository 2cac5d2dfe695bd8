"""Backlash at a few places round a gear: mean, range, once-round part, and its phase against the runout.

The change of backlash per axial movement is a factor the user enters; for a bevel gear the textbooks have
2 tan(pressure angle) sin(pitch angle) (from memory).
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from analysis.errors import BadInput
from analysis.harmonics import fit_harmonics
from analysis.numerics import OrderVectors, as_vectors


@dataclass(frozen=True)
class Backlash:
    """What the readings say. mm, degrees from the part's mark."""

    places: int
    mean_mm: float
    range_mm: float
    """Greatest less least reading."""
    first_mm: float
    """TIR of the once-round part."""
    low_deg: float
    """Where the once-round part is least."""
    expected_range_mm: float | None
    """Factor times the TIR of the sweep; None without both."""
    angle_to_runout_deg: float | None
    """From the sweep's high side on to the place of least backlash, 0 to 360; None without a sweep."""


def backlash(
    deg: ArrayLike,
    backlash_mm: ArrayLike,
    *,
    sweep: Any = None,
    sweep_tir_mm: float | None = None,
    factor: float | None = None,
) -> Backlash:
    """Return mean, range and once-round part of backlash readings.

    Parameters: places (degrees from the part's mark) and readings (mm), shape (n,), three or more; orders of
    a sweep of the face, where there is one, and its TIR; ``factor`` change of backlash per axial movement.
    Raises BadInput for readings all equal or below zero, fewer than three places, a factor not above zero.
    """
    places, readings = np.asarray(deg, np.float64), np.asarray(backlash_mm, np.float64)
    if len(places) < 3 or places.shape != readings.shape:
        raise BadInput(f"{len(places)} places: backlash is told from three or more, evenly round the gear")
    if float(np.ptp(readings)) == 0.0:
        raise BadInput(
            f"all {len(readings)} readings are {readings[0]:g} mm: no gear pair is that even; read to a "
            "finer digit, and see that the indicator moves"
        )
    if float(readings.min()) < 0.0:
        raise BadInput(f"a backlash of {readings.min():g} mm is below zero: type the play that is there")
    if factor is not None and not factor > 0.0:
        raise BadInput(f"factor {factor:g} is not above zero: change of backlash per axial movement")
    fit = fit_harmonics(np.radians(places), readings, highest_order=1)
    low = (math.degrees(fit.high_place_rad(1)) + 180.0) % 360.0
    runout: OrderVectors | None = None if sweep is None else as_vectors(sweep, "sweep")
    tir = sweep_tir_mm if sweep_tir_mm is not None or runout is None else runout.extremes.tir_mm
    return Backlash(
        len(places),
        float(readings.mean()),
        float(np.ptp(readings)),
        2.0 * float(fit.amplitude_mm[0]),
        low,
        None if factor is None or tir is None else factor * tir,
        None if runout is None else (low - runout.high_side_deg) % 360.0,
    )
