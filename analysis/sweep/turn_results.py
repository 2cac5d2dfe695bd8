"""The turns of a sweep one by one: which of their readings count, and the plain numbers of each."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.capture import (
    Capture,
    Floats,
    Samples,
    Turn,
    Window,
    coverage_and_gap_deg,
    kept,
    windows_of_setup,
)
from analysis.errors import NotDecidable
from analysis.harmonics import (
    HarmonicFit,
    SweepSums,
    default_highest_order,
    fit_harmonics,
)
from analysis.numerics import extremes_of_each
from analysis.results import TurnResult
from analysis.sweep.corrections import corrected
from analysis.sweep.lateness import turned_back
from analysis.sweep.quantities import distinct_places


@dataclass(frozen=True, slots=True)
class CountedTurn:
    """What a turn's readings that count say without any fit."""

    turn: Turn
    samples: int
    """All its readings, held values and those out of range included."""
    out_of_range: int
    values: int
    coverage: float
    largest_gap_deg: float
    tir_raw_mm: float

    @staticmethod
    def of(turn: Turn, samples: Samples, values: Samples) -> "CountedTurn":
        """Return them of a turn: all its samples, and the values among them that count."""
        covered, gap_deg = coverage_and_gap_deg(values.angle_rad)
        out = int(np.count_nonzero(samples.out_of_range))
        raw_mm = float(np.ptp(values.reading_mm)) if len(values) else 0.0
        return CountedTurn(turn, len(samples), out, len(values), covered, gap_deg, raw_mm)


def values_that_count(samples: Samples, windows: Sequence[Window]) -> Samples:
    """Return the new values, in range and outside all windows."""
    counted = samples.new & ~samples.out_of_range & kept(samples.angle_rad, windows)
    return samples if counted.all() else samples.take(counted)


def turn_results(
    turns: Sequence[CountedTurn], sums: SweepSums, highest_order: int, *, timed: bool
) -> tuple[TurnResult, ...]:
    """Return the plain numbers of several turns, each by itself.

    Each is fitted up to ``highest_order`` or as far as its readings go. Raises NotDecidable where one carries
    not even order 1.
    """
    left = np.arange(len(turns))
    results: list[TurnResult | None] = [None] * len(turns)
    for highest in range(highest_order, 0, -1):
        own = sums.of_turns(left).fits_of_turns(highest)
        carried = np.isfinite(own).all(axis=1)
        for k, result in zip(left[carried], _results(turns, left[carried], own[carried], timed), strict=True):
            results[k] = result
        left = left[~carried]
        if not len(left):
            break
    for k in left:
        sums.of_turns(np.array([k])).fit(1)  # which says why not
    return tuple(result for result in results if result is not None)


def _results(
    turns: Sequence[CountedTurn], numbers: NDArray[np.intp], coefficients: Floats, timed: bool
) -> list[TurnResult]:
    cos_mm, sin_mm = coefficients[:, 1::2], coefficients[:, 2::2]
    vectors = cos_mm + 1j * sin_mm
    return [
        TurnResult(
            turn=int(k),
            direction=turns[k].turn.direction,
            samples=turns[k].samples,
            values=turns[k].values,
            coverage=turns[k].coverage,
            largest_gap_deg=turns[k].largest_gap_deg,
            rpm=turns[k].turn.rpm if timed else 0.0,
            tir_raw_mm=turns[k].tir_raw_mm,
            tir_fit_mm=curve.tir_mm,
            tir_first_mm=2.0 * float(abs(own[0])),
            high_point_deg=math.degrees(curve.high_rad),
            vectors_mm=own,
            start_s=turns[k].turn.start_s,
            end_s=turns[k].turn.end_s,
        )
        for k, own, curve in zip(numbers, vectors, extremes_of_each(cos_mm, sin_mm), strict=True)
    ]


def turn_of_few_places(
    number: int, turn: CountedTurn, values: Samples, highest_order: int, *, timed: bool
) -> TurnResult:
    """Return the plain numbers of one turn read at a few places; raises NotDecidable below three."""
    fit = fit_as_far_as_it_goes(values.angle_rad, values.reading_mm, highest_order)
    own = np.append(0.0, fit.coefficients_mm)[None]
    (result,) = _results([turn], np.zeros(1, np.intp), own, timed)
    return replace(result, turn=number)


def fit_as_far_as_it_goes(
    angle_rad: Floats, reading_mm: Floats, highest_order: int, t_s: Floats | None = None
) -> HarmonicFit:
    """Return the fit of as many orders as the readings carry, up to ``highest_order``; drift with ``t_s``."""
    for highest in range(highest_order, 0, -1):
        try:
            return fit_harmonics(angle_rad, reading_mm, t_s, highest_order=highest, drift=t_s is not None)
        except NotDecidable:
            if highest == 1:
                raise
    raise NotDecidable(f"highest order {highest_order}: ask for at least 1")


def turn_by_itself(number: int, turn: Turn, capture: Capture) -> TurnResult:
    """Return the plain numbers of a turn that has just ended; raises NotDecidable where it carries no fit."""
    capture = corrected(capture)
    delay = capture.setup.gauge_delay
    if delay is not None:
        capture = turned_back(capture, delay.delay_s)
    samples = capture.samples.take(turn.where)
    values = values_that_count(samples, windows_of_setup(capture.setup))
    highest = default_highest_order(len(values), distinct_places(values.angle_rad))
    alone = CountedTurn.of(turn, samples, values)
    return turn_of_few_places(number, alone, values, highest, timed=capture.timed)
