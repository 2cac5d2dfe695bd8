"""The turns of a sweep taken in one by one, each reduced to what is needed of it without its readings."""

from copy import copy, deepcopy
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from analysis.capture import Samples
from analysis.errors import NotDecidable
from analysis.harmonics import (
    HIGHEST_ADDED,
    ReferenceCurve,
    SweepSums,
    TurnSums,
    default_highest_order,
    reduce_turn,
    whole_counts,
    whole_number_of_counts,
)
from analysis.sweep.kept_turns import KeptTurns
from analysis.sweep.motion import RoundCurves, TurnAtPlaces, turn_at_counts, turn_at_places
from analysis.sweep.occupied_places import OccupiedPlaces
from analysis.sweep.quantities import distinct_places
from analysis.sweep.turn_results import CountedTurn, fit_as_far_as_it_goes

USUAL_ORDERS = 15


@dataclass
class ReducedTurns:
    """What every turn says by itself, its sums and its curve, and the readings of some."""

    step_mm: float
    counts_per_turn: float
    orders: int | None = None
    """The highest order that a person asks for."""
    counted_turns: list[CountedTurn] = field(default_factory=list)
    occupied: OccupiedPlaces = field(default_factory=OccupiedPlaces)
    _curves: list[TurnAtPlaces] = field(default_factory=list)
    _sums: list[TurnSums] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.kept = KeptTurns(self.step_mm, whole_number_of_counts(self.counts_per_turn))
        self._reference = ReferenceCurve(np.zeros(1))

    @property
    def number(self) -> int:
        """Values of all turns."""
        return sum(each.values for each in self.counted_turns)

    def add(self, turn: CountedTurn, values: Samples) -> None:
        """Take the next turn: what is known of it, and its readings that count."""
        angle, reading = values.angle_rad, values.reading_mm
        if not self.counted_turns:
            self._reference = self._through(values)
        counts = whole_number_of_counts(self.counts_per_turn)
        count = whole_counts(angle, counts)
        reduced = reduce_turn(
            angle,
            reading,
            values.t_s,
            self._reference,
            highest_order=self._highest,
            highest_of_counts=HIGHEST_ADDED,
            counts=counts,
            count=count,
        )
        at_counts = reduced.at_counts
        self.kept.offer(len(self.counted_turns), values, count)
        self.occupied.add(angle, None if at_counts is None else at_counts.number > 0)
        self.counted_turns.append(turn)
        self._curves.append(
            turn_at_places(angle, reading, values.t_s) if at_counts is None else turn_at_counts(at_counts)
        )
        self._sums.append(reduced.sums)

    def __deepcopy__(self, memo: dict[int, object]) -> "ReducedTurns":
        """Return what more turns may be added to without adding them here; turns taken in are shared."""
        other = copy(self)
        for name in ("counted_turns", "_curves", "_sums"):
            setattr(other, name, list(getattr(self, name)))
        other.kept, other.occupied = deepcopy(self.kept, memo), deepcopy(self.occupied, memo)
        return other

    def in_order(self) -> "ReducedTurns":
        """Return the same with the turns in the order they ended: the first of a run may be told of last."""
        ends = [each.turn.end_s for each in self.counted_turns]
        order = sorted(range(len(ends)), key=ends.__getitem__)
        if order == list(range(len(ends))):
            return self
        sorted_turns = copy(self)
        for name in ("counted_turns", "_curves", "_sums"):
            setattr(sorted_turns, name, [getattr(self, name)[k] for k in order])
        sorted_turns.kept = self.kept.renumbered({before: now for now, before in enumerate(order)})
        return sorted_turns

    @cached_property
    def curves(self) -> RoundCurves:
        """Every turn at the places; no more turns are to be added."""
        self._curves.reverse()
        return RoundCurves.of((self._curves.pop() for _ in self.counted_turns), len(self.counted_turns))

    @cached_property
    def sums(self) -> SweepSums:
        """The sums of all turns; no more are to be added."""
        of_all = SweepSums.of(self._sums, self._reference, self._highest, self.occupied.angles_rad)
        self._sums.clear()
        return of_all

    @property
    def _highest(self) -> int:
        return max(USUAL_ORDERS, self.orders or 0)

    def _through(self, first: Samples) -> ReferenceCurve:
        """Return the curve through the first turn's readings; their mean where they carry none."""
        try:
            places = distinct_places(first.angle_rad)
            highest = self.orders or default_highest_order(len(first), places)
            fit = fit_as_far_as_it_goes(first.angle_rad, first.reading_mm, highest)
        except NotDecidable:
            return ReferenceCurve(np.array([float(first.reading_mm.mean())]))
        return ReferenceCurve(np.append(fit.constant_mm, fit.coefficients_mm))
