"""How many more turns would decide: only the random part of an interval shrinks with them."""

import math

from analysis.numerics import normal_quantile
from analysis.uncertainty.sweep import SweepUncertainty

_MOST_TURNS = 100


def turns_to_decide(interval: SweepUncertainty, limit_mm: float) -> int | None:
    """Return how many MORE turns would bring the one-sided limit clear of ``limit_mm``, or None.

    Only the random part shrinks, with the root of the number of turns. None where the other lines alone
    forbid a decision, or more than 100 further turns would be needed; 0 where it is decided already.
    """
    have = interval.turns
    fixed = math.hypot(interval.resolution_half_width_mm, normal_quantile(0.95) * interval.other_u_mm)
    value = interval.tir.value
    room = abs(limit_mm - value)
    if room <= fixed:
        return None
    random = interval.random.one_sided[1 if limit_mm > value else 0]
    more = max(0, math.ceil(have * random**2 / (room**2 - fixed**2) - have - 1e-9))
    return more if more <= _MOST_TURNS else None
