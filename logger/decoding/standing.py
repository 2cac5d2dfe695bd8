"""Whether the part stands, told from counts alone: known or not known which of them is angle 0."""

import numpy as np
from numpy.typing import ArrayLike

STANDS_S = 0.5
"""So long a part has to have stood ..."""
STANDS_DEG = 0.3
"""... moving no further than this, or one count where a count is wider (own decision)."""


def counts_moved(t_s: ArrayLike, count: ArrayLike) -> float | None:
    """Return by how much the count went to and fro in the newest half second.

    Times in seconds, rising, and counts, shape (n,). None where less than half a second is known.
    """
    t, counts = np.asarray(t_s, np.float64), np.asarray(count, np.float64)
    if not len(t) or t[-1] - t[0] < STANDS_S:
        return None
    first = int(np.searchsorted(t, t[-1] - STANDS_S, side="right")) - 1
    return float(np.ptp(counts[first:]))


def stands(moved: float | None, counts_per_turn: float) -> bool | None:
    """Tell whether a part stands whose count moved so much; None where nothing tells.

    ``counts_per_turn``: 0 where no encoder is known; then a count that moves tells that the part turns, and
    one that does not tells nothing.
    """
    if moved is None:
        return None
    if moved > max(1.0, STANDS_DEG * counts_per_turn / 360.0):
        return False
    return True if counts_per_turn else None
