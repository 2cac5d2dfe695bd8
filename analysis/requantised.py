"""What a reading with coarse steps does to a fit, learnt by rounding simulated readings the same way.

Where the noise is much smaller than a step, rounding is no longer noise: it comes back at the same place on
every turn and more turns do not help.
"""

import math

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import HarmonicFit, harmonic_rows

Floats = NDArray[np.float64]

WHITE_FROM = 0.6
"""Noise in steps from which rounding is as good as white noise."""
LIMITED_BELOW = 0.3
"""Noise in steps below which more turns do not help."""
_REFITS = 400


def noise_behind_steps(noise_mm: float, resolution_mm: float) -> float:
    """Return the noise before rounding, from the residual one: s^2 less q^2 / 12, never below zero."""
    return math.sqrt(max(0.0, noise_mm**2 - resolution_mm**2 / 12))


def requantised_errors(
    fit: HarmonicFit, angle_rad: Floats, resolution_mm: float, rng: np.random.Generator
) -> Floats:
    """Return errors of the coefficients a1, b1, ... over simulated sweeps, shape (refits, 2H), mm.

    Each is the fitted curve with a zero drawn within half a step and noise, rounded and fitted again.
    """
    noise = noise_behind_steps(fit.noise_mm, resolution_mm)
    rows = harmonic_rows(angle_rad, fit.highest_order)
    curve = fit.coefficients_mm @ rows[1:]
    zero = rng.uniform(-0.5, 0.5, (_REFITS, 1)) * resolution_mm
    reading = curve + zero + noise * rng.standard_normal((_REFITS, len(angle_rad)))
    rounded = np.round(reading / resolution_mm) * resolution_mm - curve - zero
    solved = np.linalg.solve(rows @ rows.T, rows @ rounded.T)
    return np.asarray(solved[1:].T)
