"""The turns of a sweep taken in one by one, each reduced to what is needed of it without its readings."""

from copy import copy
from dataclasses import dataclass, field

import numpy as np

from analysis.capture import Samples
from analysis.errors import NotDecidable
from analysis.harmonics import (
    HIGHEST_ADDED,
    ReferenceCurve,
    SweepSums,
    TurnSums,
    default_highest_order,
    sums_of_turn,
)
from analysis.sweep.kept_turns import KeptTurns
from analysis.sweep.motion import TurnAtPlaces, turn_at_places
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
    curves: list[TurnAtPlaces] = field(default_factory=list)
    occupied: OccupiedPlaces = field(default_factory=OccupiedPlaces)
    _sums: list[TurnSums] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.kept = KeptTurns(self.step_mm)
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
        self.kept.offer(len(self.counted_turns), values)
        self.occupied.add(angle)
        self.counted_turns.append(turn)
        self.curves.append(turn_at_places(angle, reading, values.t_s))
        self._sums.append(
            sums_of_turn(
                angle,
                reading,
                values.t_s,
                self._reference,
                highest_order=self._highest,
                highest_of_counts=HIGHEST_ADDED,
                counts_per_turn=self.counts_per_turn,
            )
        )

    def in_order(self) -> "ReducedTurns":
        """Return the same with the turns in the order they ended: the first of a run may be told of last."""
        ends = [each.turn.end_s for each in self.counted_turns]
        order = sorted(range(len(ends)), key=ends.__getitem__)
        if order == list(range(len(ends))):
            return self
        sorted_turns = copy(self)
        for name in ("counted_turns", "curves", "_sums"):
            setattr(sorted_turns, name, [getattr(self, name)[k] for k in order])
        sorted_turns.kept = self.kept.renumbered({before: now for now, before in enumerate(order)})
        return sorted_turns

    def sums(self) -> SweepSums:
        """Return the sums of all turns so far."""
        return SweepSums.of(self._sums, self._reference, self._highest, self.occupied.angles_rad)

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
