"""Whether turns differ by more than the noise within them, and by how much then to widen.

Knows coefficients turn by turn only; why turns differ (bearings, slip, a line between orders that was not
found) it cannot tell.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import TurnFits
from analysis.numerics import f_upper_tail
from analysis.uncertainty.wander import Wander

Floats = NDArray[np.float64]

_P_VALUE = 0.01


@dataclass(frozen=True)
class TurnScatter:
    """Variance of the orders between turns in units of what the noise explains, H orders."""

    factor: Floats
    """Mean square between turns over mean square within, for each order; 1 where not significant, (H,)."""
    dof: Floats
    """Degrees of freedom of that mean square, shape (H,); infinite where the factor is 1."""
    pooled_factor: float
    """The same ratio of all orders together, significant or not; 1 where it could not be had."""
    p_value: float
    """Chance of such a pooled ratio from noise alone; 1 where it could not be tested."""

    @property
    def inflated(self) -> bool:
        """Whether turns differ by more than the noise in any order."""
        return bool(np.any(self.factor > 1.0))

    @property
    def largest(self) -> float:
        """The largest factor."""
        return float(self.factor.max())

    def up_to(self, highest_order: int) -> "TurnScatter":
        """Return the same with higher orders, of which no turn by itself was asked."""
        more = highest_order - len(self.factor)
        return replace(
            self,
            factor=np.append(self.factor, np.ones(more)),
            dof=np.append(self.dof, np.full(more, math.inf)),
        )

    def with_order_one(self, wander: Wander) -> "TurnScatter":
        """Return the same with order 1 widened by what its own vectors show."""
        factor, dof = self.factor.copy(), self.dof.copy()
        factor[0], dof[0] = wander.factor, wander.dof if wander.widens else math.inf
        return replace(self, factor=factor, dof=dof)


def not_tested(highest_order: int) -> TurnScatter:
    """Return what is known of one turn's scatter: nothing."""
    return TurnScatter(np.ones(highest_order), np.full(highest_order, math.inf), 1.0, 1.0)


def turn_scatter(turns: TurnFits, *, unknown: int) -> TurnScatter:
    """Compare the orders of the turns with each other.

    Parameters: what each turn makes of its orders out of what the fit over all, and its own mean, have left;
    ``unknown`` more were fitted over all (lines) and cost as many degrees of freedom. An order that stands
    out by itself is widened by itself, and the others by what they show together.
    """
    used, unknowns = turns.own_mm.shape
    highest_order = (unknowns - 1) // 2
    if used < 2:
        return not_tested(highest_order)
    explained = float(turns.explained_mm2.sum())
    within = float((turns.square_mm2 - turns.explained_mm2).sum())
    by_order = np.empty(highest_order)
    for n in range(highest_order):
        own = turns.own_mm[:, 1 + 2 * n : 3 + 2 * n]
        weighed = np.linalg.solve(turns.pair_covariances[:, n], own[:, :, None])[:, :, 0]
        by_order[n] = float(np.sum(own * weighed))
    rows_used = int(turns.number.sum())
    each = 2 * (used - 1)
    within_dof = rows_used - used * unknowns
    if within_dof < 1 or within <= 0.0 or each * highest_order <= unknown:
        return not_tested(highest_order)
    unit = within / within_dof
    dof = each * highest_order - unknown
    pooled = explained / dof / unit
    factor, own_dof = np.ones(highest_order), np.full(highest_order, math.inf)
    ratios = by_order / each / unit
    alone = np.array([f_upper_tail(ratio, each, within_dof) * highest_order < _P_VALUE for ratio in ratios])
    factor[alone], own_dof[alone] = np.maximum(1.0, ratios[alone]), each
    others = ~alone
    rest_dof = each * int(others.sum()) - unknown
    if rest_dof > 0:
        rest = float(by_order[others].sum()) / rest_dof / unit
        if f_upper_tail(rest, rest_dof, within_dof) < _P_VALUE:
            factor[others], own_dof[others] = max(1.0, rest), rest_dof
    return TurnScatter(factor, own_dof, pooled, f_upper_tail(pooled, dof, within_dof))
