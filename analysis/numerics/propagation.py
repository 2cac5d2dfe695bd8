"""How uncertainty is carried on: by the law of propagation, or by counting draws."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def propagate(gradient: ArrayLike, covariance: ArrayLike) -> Floats:
    """Carry a covariance through a linear (or linearised) function: G C G'.

    Parameters: ``gradient`` shape (p,) or (m, p); ``covariance`` shape (p, p). Returns a variance of shape ()
    or a covariance (m, m). Source: JCGM 100:2008, 5.2.2 (equation 13).
    """
    g = np.asarray(gradient, dtype=np.float64)
    return np.asarray(g @ np.asarray(covariance, dtype=np.float64) @ g.T)


def coverage_interval(draws: ArrayLike, coverage: float = 0.95) -> tuple[float, float]:
    """Return the interval that leaves out the same share of draws on either side.

    Parameters: ``draws`` shape (n,); ``coverage`` in (0, 1). Source: JCGM 101:2008, 7.7 (the
    probabilistically symmetric interval).
    """
    tail = (1.0 - coverage) / 2.0
    low, high = np.quantile(np.asarray(draws, dtype=np.float64), [tail, 1.0 - tail])
    return float(low), float(high)
