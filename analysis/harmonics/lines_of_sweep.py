"""The lines of a sweep that are believed: those that stand out of the noise and foretell other turns.

Where the axis wanders, order 1 is another one on every turn and hides a steady line. Then the line is sought
and believed beside order 1 turn by turn, by all that a wander is not.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics.added_orders import AddedOrders, find_added_orders
from analysis.harmonics.asynchronous_lines import find_lines
from analysis.harmonics.design import Line, contrast_rows
from analysis.harmonics.line_prediction import NEAR_ORDER_ONE, predicts
from analysis.harmonics.plan import FitPlan
from analysis.harmonics.sweep_sums import SweepSums

Floats = NDArray[np.float64]

MOST_FOR_LINES = 20_000
"""Readings up to which lines are looked for: over more, what does not repeat averages out."""
REACH = 0.9
"""Within so many cycles a turn of the first line, few turns cannot tell another one from its shape."""
_TURNS_FOR_NEIGHBOURS = 4.5


@dataclass(frozen=True, slots=True)
class BelievedLines:
    """Lines that foretell turns they were not fitted to."""

    lines: tuple[Line, ...] = ()
    ratios: tuple[float, ...] = ()
    """What each leaves of turns that it was not fitted to, 0 to 1."""
    doubted: bool = False
    """True where another line stands out that does not foretell."""
    order_one_free: bool = False
    """True where they were sought beside an order 1 that is another one on every turn."""


def believed_lines(
    angle_rad: Floats,
    reading_mm: Floats,
    t_s: Floats,
    turn: NDArray[np.int64],
    plan: FitPlan,
    *,
    order_one_free: bool = False,
) -> BelievedLines:
    """Return the lines that stand out of the noise and are believed, largest first.

    Parameters: unwrapped angles (rad), readings (mm), times (s) and the number of the turn of each, shape
    (n,), and the plan of the fit; ``order_one_free`` where the axis wanders.
    """
    if not plan.lines or len(angle_rad) > MOST_FOR_LINES:
        return BelievedLines(order_one_free=order_one_free)
    turned = float(np.ptp(angle_rad)) / (2 * math.pi)
    found = find_lines(
        angle_rad,
        reading_mm,
        t_s,
        highest_order=plan.highest_order,
        turns=turned,
        added=plan.added_orders,
        beside=contrast_rows(angle_rad, turn) if order_one_free else None,
    )
    if found and turned < _TURNS_FOR_NEIGHBOURS:
        # Another line so near is as well the first one's shape: both cannot be had from so few turns.
        found = (found[0], *(each for each in found[1:] if abs(each.order - found[0].order) > REACH))
    believed: dict[Line, float] = {}
    for line in found:
        prediction = predicts(
            angle_rad,
            reading_mm,
            t_s,
            turn,
            line,
            highest_order=plan.highest_order,
            added=plan.added_orders,
            known=tuple(believed),
            order_one_free=order_one_free,
        )
        # Each slow line takes two of the turns' degrees of freedom: some are left to tell a wander by.
        slow = sum(each.order < NEAR_ORDER_ONE for each in (*believed, line))
        spare = order_one_free or line.order >= NEAR_ORDER_ONE or slow <= max(1, plan.turns - 2)
        if prediction.believed and spare:
            believed[line] = prediction.ratio
    return BelievedLines(
        tuple(believed), tuple(believed.values()), len(believed) < len(found), order_one_free
    )


def orders_and_lines(
    angle_rad: Floats,
    reading_mm: Floats,
    t_s: Floats,
    turn: NDArray[np.int64],
    plan: FitPlan,
    *,
    resolution_mm: float = 0.0,
    used: NDArray[np.bool_] | None = None,
    sums: SweepSums | None = None,
) -> tuple[AddedOrders, BelievedLines]:
    """Return lobes above the highest order and the lines that are believed, each looked for beside the other.

    A fast line stands in the orders next to it, a lobe in the lines next to it; but a lobe comes back on
    every turn, so that a line in its place foretells no other turn. Lines that are believed without any lobe
    therefore come first. Parameters as for each; ``used``, shape (n,), which readings speak for
    lobes; ``sums`` over all of them, where those handed over are of some turns.
    """
    here = slice(None) if used is None else used

    def orders(lines: BelievedLines) -> AddedOrders:
        return find_added_orders(
            angle_rad[here],
            reading_mm[here],
            t_s[here],
            plan,
            resolution_mm=resolution_mm,
            lines=lines.lines,
            sums=sums if used is None else None,
        )

    lines = believed_lines(angle_rad, reading_mm, t_s, turn, plan)
    above = orders(lines)
    if above.orders:
        beside = replace(plan, added_orders=above.orders)
        lines = believed_lines(angle_rad, reading_mm, t_s, turn, beside)
    return above, lines
