"""Whether turns differ by more than the noise within them, and by how much then to widen.

Knows coefficients turn by turn only; why turns differ (bearings, slip, a line between orders that was not
found) it cannot tell.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import harmonic_rows
from analysis.quantiles import f_upper_tail

Floats = NDArray[np.float64]

_P_VALUE = 0.01


@dataclass(frozen=True)
class TurnScatter:
    """Variance of the orders between turns in units of what the noise explains."""

    factor: float
    """Mean square between turns over mean square within, pooled over all orders; 1 where not significant."""
    dof: int
    """Degrees of freedom of the mean square between turns."""
    p_value: float
    """Chance of such a factor from noise alone; 1 where it could not be tested."""

    @property
    def inflated(self) -> bool:
        """Whether turns differ by more than the noise."""
        return self.factor > 1.0


NOT_TESTED = TurnScatter(1.0, 0, 1.0)


def turn_scatter(
    angle_rad: Floats, residual_mm: Floats, turn: NDArray[np.int64], *, highest_order: int, lines: int
) -> TurnScatter:
    """Compare the orders of the turns with each other.

    Parameters: angles (rad), residuals of the fit over all turns (mm) and the number of the turn of each,
    shape (n,); ``lines`` fitted beside the orders cost three degrees of freedom each. A turn with too few
    readings or too wide a gap for its own fit takes no part.
    """
    explained, within, used, rows_used = 0.0, 0.0, 0, 0
    unknowns = 1 + 2 * highest_order
    for each in np.unique(turn):
        here = turn == each
        if int(here.sum()) < unknowns + 2:
            continue
        rows = harmonic_rows(angle_rad[here], highest_order)
        gram = rows @ rows.T
        if np.linalg.cond(gram) > 1e4:
            continue
        left = residual_mm[here] - residual_mm[here].mean()
        right = rows @ left
        taken = float(right @ np.linalg.solve(gram, right))
        explained += taken
        within += float(left @ left) - taken
        used += 1
        rows_used += len(left)
    dof = (used - 1) * 2 * highest_order - 3 * lines
    within_dof = rows_used - used * unknowns
    if used < 2 or dof < 1 or within_dof < 1 or within <= 0.0:
        return NOT_TESTED
    factor = (explained / dof) / (within / within_dof)
    p_value = f_upper_tail(factor, dof, within_dof)
    if p_value >= _P_VALUE or not math.isfinite(factor):
        return TurnScatter(1.0, dof, p_value)
    return TurnScatter(max(1.0, factor), dof, p_value)
