"""Whether turns differ by more than the noise within them, and by how much then to widen.

Knows coefficients turn by turn only; why turns differ (bearings, slip, a line between orders that was not
found) it cannot tell.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import harmonic_rows
from analysis.numerics import f_upper_tail
from analysis.uncertainty.wander import Wander

Floats = NDArray[np.float64]

_P_VALUE = 0.01
_LARGEST_CONDITION = 1e4
"""Condition of the normal equations above which a turn cannot speak for itself."""


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


def turn_scatter(
    angle_rad: Floats, residual_mm: Floats, turn: NDArray[np.int64], *, highest_order: int, unknown: int
) -> TurnScatter:
    """Compare the orders of the turns with each other.

    Parameters: angles (rad), residuals of the fit over all turns (mm) and the number of the turn of each,
    shape (n,); ``unknown`` more were fitted over all turns (lines) and cost as many degrees of freedom. A
    turn with too few readings or too wide a gap for its own fit takes no part. An order that stands out by
    itself is widened by itself, and the others by what they show together.
    """
    unknowns = 1 + 2 * highest_order
    by_order, explained, within = np.zeros(highest_order), 0.0, 0.0
    used, rows_used = 0, 0
    edges = np.flatnonzero(np.diff(turn)) + 1
    for here in np.split(np.arange(len(turn)), edges):
        if len(here) < unknowns + 2:
            continue
        rows = harmonic_rows(angle_rad[here], highest_order)
        gram = rows @ rows.T
        if np.linalg.cond(gram) > _LARGEST_CONDITION:
            continue
        left = residual_mm[here] - residual_mm[here].mean()
        inverse = np.linalg.inv(gram)
        right = rows @ left
        own = inverse @ right
        between = float(right @ own)
        explained += between
        within += float(left @ left) - between
        for n in range(highest_order):
            pair = slice(1 + 2 * n, 3 + 2 * n)
            by_order[n] += float(own[pair] @ np.linalg.solve(inverse[pair, pair], own[pair]))
        used += 1
        rows_used += len(left)
    each = 2 * (used - 1)
    within_dof = rows_used - used * unknowns
    if used < 2 or within_dof < 1 or within <= 0.0 or each * highest_order <= unknown:
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
