"""Spread of readings that a few far off do not make."""

import numpy as np
from numpy.typing import NDArray


def robust_sd(residual: NDArray[np.float64]) -> float:
    """Return 1.4826 times the median absolute deviation: the standard deviation of clean normal noise."""
    return 1.4826 * float(np.median(np.abs(residual - np.median(residual)))) if len(residual) else 0.0
