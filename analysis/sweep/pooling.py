"""Which turns of a capture are put together, and which of their values count.

A turn that was not seen all round is refused, not the sweep: it is left out where others remain.
"""

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from analysis.capture import (
    MOST_PLACES,
    Capture,
    Samples,
    Turn,
    Window,
    cut_turns,
    joined,
    reason_broken,
    reason_left_out,
)
from analysis.diagnosis import FILLED_DEG, BumpSearch
from analysis.errors import BadInput, NotDecidable
from analysis.harmonics import (
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
from analysis.sweep.turn_results import (
    CountedTurn,
    counted_values,
    fit_as_far_as_it_goes,
    turn_of_few_places,
    turn_results,
)

REFUSED_GAP_DEG = 30.0
"""A turn with a wider gap is not counted in while others remain."""
FEWEST_PLACES = 3


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


@dataclass(frozen=True)
class _Chosen:
    """The turns to put together."""

    turns: list[CountedTurn]
    counted: list[NDArray[np.intp]]
    """Indices of the values of each that count."""
    other_direction: int
    refused: list[str]


def pool_turns(capture: Capture, windows: Sequence[Window], orders: int | None) -> PooledTurns:
    """Put turns together: those at the newest zero, the way most were turned, seen all round.

    ``orders`` is the highest order a person asks for, None to choose it by the gauge. Raises BadInput where
    there is no full turn, or where the samples do not carry the orders asked for.
    """
    chosen = _chosen_turns(capture, windows)
    reduced = ReducedTurns(
        step_mm=capture.resolution_mm, counts_per_turn=capture.counts_per_turn, orders=orders
    )
    for turn, where in zip(chosen.turns, chosen.counted, strict=True):
        reduced.add(turn, capture.samples.take(_as_slice(where)))
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
        sums=reduced.sums(),
        curves=RoundCurves.of(reduced.curves),
        plan=FitPlan(
            of_all_turns if orders is None else orders,
            len(chosen.turns),
            few_places=places <= MOST_PLACES,
            even_angles=not capture.angle_source.is_by_time,
            every_turn=len(values) == reduced.number,
        ),
        orders_asked=orders is not None,
        orders_carried=of_all_turns if places > MOST_PLACES else min(USUAL_ORDERS, (places - 1) // 2),
        orders_of_a_turn=alone if orders is None else orders,
        other_direction=chosen.other_direction,
        refused=tuple(chosen.refused),
        places=places,
        gap_deg=occupied.gap_deg,
        timed=capture.timed,
    )


def _as_slice(where: NDArray[np.intp]) -> NDArray[np.intp] | slice:
    """Return rising indices as a slice where none is left out: no reading need be copied then."""
    first, last = (int(where[0]), int(where[-1])) if len(where) else (0, -1)
    return slice(first, last + 1) if last - first + 1 == len(where) else where


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


def _chosen_turns(capture: Capture, windows: Sequence[Window]) -> _Chosen:
    """Choose the turns at the newest zero, the way most were turned, seen all round."""
    s = capture.samples
    found = cut_turns(s if capture.counted_rad is None else replace(s, angle_rad=capture.counted_rad))
    found = found or _one_turn_of_places(capture)
    if not found:
        raise BadInput(_no_full_turn(capture))
    left_out = [(turn, why) for turn in found if (why := reason_left_out(turn, capture.events)) is not None]
    found = [turn for turn in found if all(turn is not gone for gone, _ in left_out)]
    if not found:
        raise BadInput("every full turn was left out by a person's word: turn once more, or take one back")
    newest = max(turn.segment for turn in found)
    at_newest = [turn for turn in found if turn.segment == newest]
    forward = sum(turn.direction > 0 for turn in at_newest)
    direction = 1 if 2 * forward >= len(at_newest) else -1
    counting = [turn for turn in at_newest if turn.direction == direction]
    counted = [counted_values(capture, turn, windows) for turn in counting]
    counted_turns = [
        CountedTurn.of(turn, capture.samples, where) for turn, where in zip(counting, counted, strict=True)
    ]
    seen = [k for k, one in enumerate(counted_turns) if one.largest_gap_deg <= REFUSED_GAP_DEG]
    refused = [
        f"turn {k + 1} is left out: a gap of {one.largest_gap_deg:.0f} deg"
        for k, one in enumerate(counted_turns)
        if one.largest_gap_deg > REFUSED_GAP_DEG
    ]
    if not seen:
        seen, refused = list(range(len(counting))), []
    for gone, why in left_out:
        who = "a person" if reason_broken(gone, capture.events) is None else "the program"
        refused.append(f"turn {gone.number + 1} is left out by {who}: {why}")
    if len(found) > len(at_newest):
        refused.append(f"{len(found) - len(at_newest)} turn(s) before the newest mark are left out")
    return _Chosen(
        [counted_turns[k] for k in seen],
        [counted[k] for k in seen],
        len(at_newest) - len(counting),
        refused,
    )


def _one_turn_of_places(capture: Capture) -> list[Turn]:
    """Return readings at places as one turn: they go round without ever passing the mark."""
    if not capture.angle_source.is_by_places:
        return []
    where = np.arange(len(capture.samples))
    return [Turn(0, 1, 0, where, 0.0, 0.0)] if len(where) >= FEWEST_PLACES else []


def _no_full_turn(capture: Capture) -> str:
    n = len(capture.samples)
    if n == 0:
        return "no samples with an angle in this sweep: nothing to fit; check board, channel and mark"
    turned = math.degrees(float(np.ptp(capture.samples.angle_rad)))
    what = (
        "this is an end-float capture (stage end float): " if capture.setup.stage == Stage.END_FLOAT else ""
    )
    return (
        f"{what}no full turn from mark to mark in {n} samples ({turned:.0f} deg turned): turn at least once "
        "right round past the mark, better three times"
    )
