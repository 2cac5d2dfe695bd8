"""The turns of a sweep put together: what all of them say, and the values of those kept."""

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from analysis.capture import (
    MOST_PLACES,
    Capture,
    Samples,
    Turn,
    Window,
    joined,
)
from analysis.diagnosis import BumpSearch
from analysis.errors import BadInput, NotDecidable
from analysis.harmonics import (
    FILLED_DEG,
    FitPlan,
    HarmonicFit,
    SweepSums,
    default_highest_order,
    fit_harmonics,
    highest_order_together,
)
from analysis.results import TurnResult
from analysis.setup import Stage
from analysis.sweep.motion import RoundCurves
from analysis.sweep.reduced_turns import USUAL_ORDERS, ReducedTurns
from analysis.sweep.sweep_pass import PassedSweep, PassSettings, pass_over
from analysis.sweep.turn_results import (
    CountedTurn,
    fit_as_far_as_it_goes,
    turn_of_few_places,
    turn_results,
)


@dataclass(frozen=True)
class PooledTurns:
    """The turns put together: of all of them the sums, of some the readings themselves.

    Arrays are of the new values that count, of the turns kept, shape (n,); those are all turns unless the
    sweep is long (``kept_turns``).
    """

    counted_turns: tuple[CountedTurn, ...]
    """Of every turn."""
    values: Samples
    turn: NDArray[np.int64]
    """Position among the turns of each value."""
    sums: SweepSums
    """Of all values of every turn."""
    curves: RoundCurves
    """Of every turn."""
    plan: FitPlan
    """What is fitted to them, of as many orders as they ought to carry."""
    orders_asked: bool
    """True where a person chose the highest order."""
    orders_carried: int
    """Highest order, at most 15, that the places of all turns together carry."""
    orders_of_a_turn: int
    """Highest order fitted to each turn by itself."""
    other_direction: int
    """Full turns against the main direction, not counted in."""
    refused: tuple[str, ...]
    """What is to be said of turns that were left out."""
    places: int
    """Different places of the turn at which there are values."""
    gap_deg: float
    """Widest gap of all turns together."""
    timed: bool
    passed: PassedSweep
    """All else that the pass over the sweep has made of it."""
    searches: dict[Hashable, BumpSearch] = field(default_factory=dict, repr=False, compare=False)
    """Searches for bumps that were made, by what they were made with."""

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        """The turns put together."""
        return tuple(each.turn for each in self.counted_turns)

    @cached_property
    def number(self) -> int:
        """Values of all turns that count."""
        return sum(each.values for each in self.counted_turns)

    @property
    def values_per_turn(self) -> float:
        """Mean number of values of a turn."""
        return self.number / len(self.counted_turns)

    @cached_property
    def results(self) -> tuple[TurnResult, ...]:
        """The plain numbers of each turn; raises NotDecidable where one carries not even order 1."""
        if not self.plan.few_places:
            return turn_results(self.counted_turns, self.sums, self.orders_of_a_turn, timed=self.timed)
        return tuple(
            turn_of_few_places(
                k, each, self.values.take(self.turn == k), self.orders_of_a_turn, timed=self.timed
            )
            for k, each in enumerate(self.counted_turns)
        )

    @cached_property
    def plain_fit(self) -> HarmonicFit:
        """The fit without lines: of the orders asked for, or of as many as the readings carry."""
        plan, values = self.plan, self.values
        if self.orders_asked:
            try:
                if not plan.few_places:
                    return self.sums.fit(plan.highest_order, drift=plan.drift)
                return fit_harmonics(values.angle_rad, values.reading_mm, highest_order=plan.highest_order)
            except NotDecidable as error:
                raise BadInput(str(error)) from error
        if plan.few_places:
            return fit_as_far_as_it_goes(values.angle_rad, values.reading_mm, plan.highest_order)
        return self.sums.fit_as_far_as_it_goes(plan.highest_order, drift=plan.drift)


def pool_turns(
    capture: Capture, windows: Sequence[Window], orders: int | None, lag_s: float = 0.0
) -> PooledTurns:
    """Put turns together: those at the newest zero, the way most were turned, seen all round.

    Parameters: ``orders`` is the highest order a person asks for, None to choose it by the gauge; every
    reading is put back to the angle of ``lag_s`` before. Raises BadInput where there is no full turn, or
    where the samples do not carry the orders asked for.
    """
    passed = pass_over(capture.samples, PassSettings.of(capture, windows, orders, lag_s))
    if not passed.chosen.found:
        raise BadInput(_no_full_turn(capture, passed))
    reduced = passed.chosen.reduced.in_order()
    places, occupied = reduced.occupied.places, reduced.occupied
    of_all_turns, alone = _orders(reduced)
    if orders is not None and not 1 <= orders <= occupied.most_orders:
        raise BadInput(
            f"--orders {orders}: {places} different places carry orders 1 to {occupied.most_orders}; "
            "ask for fewer"
        )
    kept = reduced.kept.turns
    values = joined(kept.values())
    return PooledTurns(
        counted_turns=tuple(reduced.counted_turns),
        values=values,
        turn=np.concatenate([np.full(len(one), k, np.int64) for k, one in kept.items()]),
        sums=reduced.sums,
        curves=reduced.curves,
        plan=FitPlan(
            of_all_turns if orders is None else orders,
            len(reduced.counted_turns),
            few_places=places <= MOST_PLACES,
            even_angles=not capture.angle_source.is_by_time,
            every_turn=len(values) == reduced.number,
        ),
        orders_asked=orders is not None,
        orders_carried=of_all_turns if places > MOST_PLACES else min(USUAL_ORDERS, (places - 1) // 2),
        orders_of_a_turn=alone if orders is None else orders,
        other_direction=passed.chosen.other_direction,
        refused=passed.chosen.refused,
        places=places,
        gap_deg=occupied.gap_deg,
        timed=capture.timed,
        passed=passed,
    )


def _orders(reduced: ReducedTurns) -> tuple[int, int]:
    """Return the highest order of all turns together, and that of one turn alone.

    Turns too fast for their gauge, but filled together, carry at least orders 1 and 2.
    """
    places, gap_deg = reduced.occupied.places, reduced.occupied.gap_deg
    alone = default_highest_order(float(np.median([each.values for each in reduced.counted_turns])), places)
    if places <= MOST_PLACES:
        return alone, alone
    if gap_deg <= FILLED_DEG:
        alone = max(alone, 2)
    # Readings of a gauge that keeps step with the turning crowd at few places, however they tremble there.
    apart = min(places, reduced.occupied.degrees)
    return highest_order_together(reduced.number, apart, gap_deg, alone), alone


def _no_full_turn(capture: Capture, passed: PassedSweep) -> str:
    n = passed.gauge.samples
    if n == 0:
        return "no samples with an angle in this sweep: nothing to fit; check board, channel and mark"
    turned = math.degrees(passed.extent.turned_rad)
    what = (
        "this is an end-float capture (stage end float): " if capture.setup.stage == Stage.END_FLOAT else ""
    )
    return (
        f"{what}no full turn from mark to mark in {n} samples ({turned:.0f} deg turned): turn at least once "
        "right round past the mark, better three times"
    )
