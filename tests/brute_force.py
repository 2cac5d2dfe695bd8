"""Another road to the same number: by trying every whole degree, without any closed form."""

import math
from collections.abc import Sequence

import numpy as np


def best_next_position_deg(angles_deg: Sequence[float], orders: int = 6) -> int:
    """Return the whole degree that, added to these index angles, leaves the least worst noise over the orders.

    The normal equations of each order are inverted as they stand; where one is singular the noise has no bound.
    """

    def largest(extra: float) -> float:
        found = 0.0
        for n in range(1, orders + 1):
            e = np.exp(1j * n * np.radians([*angles_deg, extra]))
            design = np.stack([e, np.ones_like(e)], axis=1)
            gram = design.conj().T @ design
            if np.linalg.cond(gram) > 1e10:
                return math.inf
            found = max(found, float(np.linalg.inv(gram)[0, 0].real))
        return found

    noise = [largest(deg) for deg in range(360)]
    return next(deg for deg, each in enumerate(noise) if each <= min(noise) * (1 + 1e-9))
