"""A long sweep reduced exactly to the number and the sum of its readings at each count of the encoder."""

import math

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics.design import harmonic_rows
from analysis.harmonics.harmonic_fit import HarmonicFit
from analysis.harmonics.solve import as_fit, solve_normal

Floats = NDArray[np.float64]


def whole_counts(angle: Floats, counts_per_turn: float) -> NDArray[np.int64] | None:
    """Return the encoder count of each reading, or None where the angles do not lie on whole counts."""
    if counts_per_turn < 1 or counts_per_turn != round(counts_per_turn) or len(angle) < 2 * counts_per_turn:
        return None
    exact = angle * (counts_per_turn / (2 * math.pi))
    count = np.rint(exact)
    if np.max(np.abs(exact - count)) > 1e-6:
        return None
    return np.mod(count.astype(np.int64), int(counts_per_turn))


def solve_from_sums(cell: NDArray[np.int64], reading: Floats, counts: int, highest: int) -> HarmonicFit:
    """Fit from the number and the sum of readings at each count: the same equations, fewer rows."""
    level = float(reading.mean())
    number = np.bincount(cell, minlength=counts).astype(np.float64)
    total = np.bincount(cell, weights=reading - level, minlength=counts)
    place: Floats = np.arange(counts, dtype=np.float64) * (2 * math.pi / counts)
    rows = harmonic_rows(place, highest)
    beta, inverse, condition = solve_normal(
        (rows * number) @ rows.T, rows @ total, place[number > 0], highest
    )
    residual = reading - level - (beta @ rows)[cell]
    dof = len(reading) - len(beta)
    variance = float(residual @ residual) / dof if dof > 0 else math.nan
    return as_fit(
        beta,
        level=level,
        slope=None,
        covariance=variance * inverse[1:, 1:],
        noise=math.sqrt(variance),
        dof=dof,
        lines=(),
        residual=residual,
        condition=condition,
    )
