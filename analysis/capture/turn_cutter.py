"""Whole turns cut out of samples as they come: one cutter for a board that streams and for a file.

A turn is everything between two passings of the mark in one run of the hand. Ground that is trodden
again after going back counts once, as it was met first; going back by half a turn or more starts a new
run the other way. Knows nothing of readings.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.capture.fresh_ground import FreshGround, Ground, GroundPile, join_ground
from analysis.capture.samples import Floats, Samples
from analysis.capture.turns import Turn, turned_back, way_gone
from analysis.capture.turns_of_run import TurnSamples, TurnsOfRun

MOST_AT_REST = 1 << 18
"""Samples kept of a hand that comes no further: more add nothing to what is known of a place."""
MOST_DIFFERENT_STEPS = 1 << 17
"""Different steps of a run beyond which none enter the typical step; between counts they are few."""
_NARROWEST, _WIDEST = 1 << 8, 1 << 16
"""Samples looked at together: few where the hand has just turned round, then more and more."""


class TurnCutter:
    """Takes samples in blocks of any size and gives each full turn once, with its samples.

    A turn counts as full where its run passed both its boundaries, or came within one and a half typical
    steps of them, at most 30 degrees (readings ten degrees apart close at 350). What comes out does not
    depend on how the samples are cut into blocks. Segments must not come back once they were left.

    It holds the turn under way, one turn more where the first of a run hangs on the typical step, and what
    has been taken since the hand was furthest, for it may be the beginning of a run the other way. Of the
    samples of a hand that comes no further ``most_at_rest`` are kept (None: all); of those beyond, their
    readings are lost, and where it stood exactly at the mark also the time of leaving it. What the blocks
    hold is kept, not copied: it must not be changed afterwards.

    ``at_once``: each turn is given with the sample that ends it, by what is known then: the typical step so
    far, and the first sample at the mark. Otherwise, exactly as from the whole: when the mark is left
    behind, and a run's first turn that began past the mark at the run's end.
    """

    def __init__(self, *, at_once: bool = False, most_at_rest: int | None = MOST_AT_REST) -> None:
        self._at_once, self._most_at_rest = at_once, most_at_rest
        self._most_steps = None if most_at_rest is None else MOST_DIFFERENT_STEPS
        self._fed = 0
        self._segment = 0
        self._fresh: FreshGround | None = None
        """Of the run under way; None while its direction is not known."""
        self._turns: TurnsOfRun | None = None
        self._undirected = self._begin()

    def feed(self, block: Samples) -> list[TurnSamples]:
        """Take the next samples and return the turns that are known now.

        In the order they came to be known: one that hangs on the typical step comes after later ones.
        """
        ended: list[TurnSamples] = []
        segment = block.segment
        edges = [0, *(np.flatnonzero(segment[1:] != segment[:-1]) + 1).tolist(), len(block)]
        for start, stop in pairwise(edges):
            if start == stop:
                continue
            if int(segment[start]) != self._segment:
                ended += self._end_segment()
                self._segment = int(segment[start])
            ended += self._go_on(block, start, stop)
        self._fed += len(block)
        return ended

    def finish(self) -> list[TurnSamples]:
        """Return the turns that the end of all samples closes."""
        return self._end_segment()

    def _begin(self) -> "_Undirected":
        return _Undirected(self._most_at_rest)

    def _end_segment(self) -> list[TurnSamples]:
        # A run whose direction is not known yet has not come half a turn: there is no turn in it.
        ended = self._turns.end(turned_back=False) if self._turns is not None else []
        self._fresh = self._turns = None
        self._undirected = self._begin()
        return ended

    def _go_on(self, block: Samples, start: int, stop: int) -> list[TurnSamples]:
        ended: list[TurnSamples] = []
        width = _NARROWEST
        while start < stop:
            upto = min(start + width, stop)
            samples = block if upto - start == len(block) else block.take(slice(start, upto))
            number = np.arange(self._fed + start, self._fed + upto)
            if self._turns is None or self._fresh is None:
                took = self._find_direction(number, samples, ended)
            else:
                took = self._follow(self._fresh, self._turns, number, samples, ended)
            width = min(2 * width, _WIDEST) if took == upto - start else _NARROWEST
            start += took
        return ended

    def _find_direction(self, number: NDArray[np.intp], samples: Samples, ended: list[TurnSamples]) -> int:
        """Take samples until one way of turning has gone half a turn; return how many were taken."""
        direction, took = self._undirected.direction_of(samples.cut_by_rad)
        if took < len(number):
            number, samples = number[:took], samples.take(slice(0, took))
        if not direction:
            self._undirected.take(number, samples)
        else:
            self._fresh, ground = self._undirected.in_direction(direction, number, samples)
            self._turns = TurnsOfRun(
                direction, self._segment, at_once=self._at_once, most_steps=self._most_steps
            )
            self._undirected = self._begin()
            ended += self._turns.take(ground)
        return took

    def _follow(
        self,
        fresh: FreshGround,
        turns: TurnsOfRun,
        number: NDArray[np.intp],
        samples: Samples,
        ended: list[TurnSamples],
    ) -> int:
        """Take samples of the run under way until it ends; return how many were taken."""
        travel = samples.cut_by_rad * fresh.direction
        furthest = fresh.furthest_of(travel)
        back = turned_back(travel, furthest)
        took = len(number) if back is None else back
        if back is not None:
            number, samples, travel, furthest = (
                number[:took], samples.take(slice(0, took)), travel[:took], furthest[:took]
            )  # fmt: skip
        if took:
            since = 0
            if furthest[-1] > fresh.furthest_rad:
                # What was taken since the hand came further may be the beginning of a run the other way.
                since = int(np.searchsorted(furthest, furthest[-1])) + 1
                self._undirected = self._begin()
            ground = fresh.take(number, samples, travel, furthest)
            if len(ground):
                ended += turns.take(ground)
            if since < took:
                self._undirected.take(number[since:], samples.take(slice(since, None)))
        if back is not None:
            ended += turns.end(turned_back=True)
            self._fresh = self._turns = None
        return took


class _Undirected:
    """A run that has gone less than half a turn either way, looked at in both directions."""

    def __init__(self, most_at_rest: int | None) -> None:
        self._ways = [(FreshGround(direction, most_at_rest), GroundPile()) for direction in (1, -1)]

    def direction_of(self, angle_rad: Floats) -> tuple[int, int]:
        """Return which way half a turn was gone first, 0 for neither, and after how many of these samples."""
        (with_it, _), (against, _) = self._ways
        highest, lowest = with_it.furthest_of(angle_rad), -against.furthest_of(-angle_rad)
        return way_gone(angle_rad, highest, lowest)

    def take(self, number: NDArray[np.intp], samples: Samples) -> None:
        """Take the next samples."""
        for fresh, pile in self._ways:
            travel = samples.cut_by_rad * fresh.direction
            pile.add(fresh.take(number, samples, travel, fresh.furthest_of(travel)))

    def in_direction(
        self, direction: int, number: NDArray[np.intp], samples: Samples
    ) -> tuple[FreshGround, Ground]:
        """Return what is fresh this way, with these samples that show that the run goes it."""
        fresh, pile = self._ways[0 if direction > 0 else 1]
        travel = samples.cut_by_rad * direction
        ground = fresh.take(number, samples, travel, fresh.furthest_of(travel))
        before = pile.joined()
        return fresh, ground if before is None else join_ground([before, ground])


def cut_turns(samples: Samples) -> list[Turn]:
    """Return every full turn of the samples, in the order they were ended, as ``TurnCutter`` cuts them."""
    segment = samples.segment
    order: NDArray[np.intp] | None = None
    if (segment[1:] < segment[:-1]).any():
        order = np.argsort(segment, kind="stable")
        samples = samples.take(order)
    cutter = TurnCutter(most_at_rest=None)
    turns = [one.turn for one in _in_order(cutter.feed(samples) + cutter.finish())]
    return turns if order is None else [replace(turn, where=order[turn.where]) for turn in turns]


def _in_order(turns: list[TurnSamples]) -> list[TurnSamples]:
    return sorted(turns, key=lambda one: (one.turn.end_s, one.turn.where[0]))
