"""How often one part was looked at before something is decided about it, and what each look costs.

Whoever decides after every turn and stops when he likes gets more chances to be wrong than one: a look at the
limit by itself lets 5 % through, seven of them 11 %. So a look has its own factor: one constant over the
looks of a plan (as S. J. Pocock, Biometrika 64, 1977, from memory), and without a plan a boundary that
grows with the turns and holds 5 % over all looks up to sixty (own simulation, 400,000 series). Knows no
reading.
"""

import math
from dataclasses import dataclass, replace

from analysis.numerics import Limits, UncertainNumber, normal_cdf, normal_quantile, t_quantile

RUNGS = 3
"""A plan of N turns is a ladder: looked at after N, 2 N and 3 N."""
Z_OF_PLAN = 1.992
"""One factor over the three rungs: 5 % over them all, their turns being shared (a test integrates it)."""
_OPEN = 4.79
_FEWEST_OF_OPEN = 2


@dataclass(frozen=True, slots=True)
class Looks:
    """Which look a decision is, and the normal quantile it is held to."""

    look: int
    """Counted from 1 over every recording of this part, stage and limit; 0 before a plan's first rung."""
    planned: int | None
    """How many looks the plan has, earlier recordings counted; None without a plan."""
    z: float
    turns: int
    """Turns looked at."""
    turns_planned: int | None = None
    before: int = 0
    """Earlier recordings of the same part, stage and limit."""

    @property
    def alpha(self) -> float:
        """Chance of a wrong decision on either side that this one look is given."""
        return float(normal_cdf(-self.z))

    @property
    def too_early(self) -> bool:
        """True before the first rung of the plan: nothing is decided yet."""
        return self.turns_planned is not None and self.turns < self.turns_planned

    def after(self, turns: int) -> "Looks":
        """Return the look that this would be with so many turns in all."""
        return count_looks(turns, self.turns_planned, self.before)

    def factor(self, dof: float) -> float:
        """Return how much wider than at 5 % a one-sided random half-width is; Student's t with ``dof``."""
        if not math.isfinite(dof) or dof < 1.0:
            return self.z / normal_quantile(0.95)
        return t_quantile(1.0 - self.alpha, dof) / t_quantile(0.95, dof)


ONE_LOOK = Looks(1, 1, normal_quantile(0.95), 1)
"""A quantity that is looked at once, as places read and written down."""


def open_boundary(looks: int) -> float:
    """Return the factor of a look that nobody planned: sqrt(4.79 + ln(T / 2)), 2.19 at two, 2.53 at ten."""
    return math.sqrt(_OPEN + math.log(max(looks, _FEWEST_OF_OPEN) / 2.0))


def count_looks(turns: int, turns_planned: int | None = None, before: int = 0) -> Looks:
    """Return which look a sweep of so many full turns is.

    Parameters: ``turns`` turned; ``turns_planned`` before the first of them (None: looked at after each one);
    ``before`` earlier recordings of the same part, stage and limit, which go on counting.
    """
    if turns_planned is None:
        return Looks(before + turns, None, open_boundary(before + turns), turns, None, before)
    rung = 0 if turns < turns_planned else -(-turns // turns_planned)
    if rung > RUNGS:
        return Looks(
            before + rung, before + RUNGS, open_boundary(before + turns), turns, turns_planned, before
        )
    z = max(Z_OF_PLAN, open_boundary(before + max(rung, 1))) if before else Z_OF_PLAN
    return Looks(before + rung, before + RUNGS, z, turns, turns_planned, before)


def at_look(number: UncertainNumber, looks: Looks, dof: float) -> UncertainNumber:
    """Return a number whose one-sided limits hold with this look's alpha; the two-sided interval stays 95 %.

    ``dof`` of its random part, which is all that the number may hold: what no later look draws anew joins it
    afterwards.
    """
    low, high = number.one_sided()
    factor, value = looks.factor(dof), number.value
    single = (max(number.least, value - factor * (value - low)), value + factor * (high - value))
    u = number.u
    return replace(number, limits=Limits(number.interval(), single, u))
