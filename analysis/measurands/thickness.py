"""Thickness of a disc all round: two opposed tips added up, which a wobble does not move, or a micrometer."""

import math
from dataclasses import dataclass, replace

import numpy as np

from analysis.capture import Capture
from analysis.decision import tir_of_few_places
from analysis.errors import BadInput
from analysis.numerics import Component, Limits, OrderVectors, UncertainNumber
from analysis.results import SweepResult
from analysis.separation import read_together
from analysis.sweep import declared_gauge, gauge_taken_as
from analysis.uncertainty import OF_A_GAUGE, BudgetLine, gauge_error, two_tips, with_lines


@dataclass(frozen=True)
class Thickness:
    """Variation of thickness. mm, degrees from the part's mark."""

    variation: UncertainNumber
    thinnest_deg: float
    thinnest_mm: float
    """Of a micrometer: the thickness itself; of two tips: against their common zero."""
    vectors: OrderVectors | None
    """Orders of the thickness; None where the places carry none."""
    unseen: tuple[BudgetLine, ...] = ()
    """What no reading shows by itself: in what is held against a limit, not in ``variation``."""
    taken_as: tuple[str, ...] = ()
    """What was assumed of the gauge."""

    @property
    def against_limits(self) -> UncertainNumber:
        """The variation with every line of the budget."""
        return with_lines(self.variation, self.unseen)


def summed(first: Capture, second: Capture) -> Capture:
    """Return the sum of two opposed tips as one capture, taken at the first tip's readings.

    What both see alike with opposite sign, wobble and axial walk, is gone. Raises BadInput where the two
    were not taken together.
    """
    both, second_mm = read_together(first, second)
    samples = replace(both.samples, reading_mm=both.samples.reading_mm + second_mm)
    finest = math.hypot(first.resolution_mm, second.resolution_mm)
    return replace(both, samples=samples, resolution_mm=finest, range_mm=None)


def thickness_of_sweep(result: SweepResult, alone: SweepResult | None = None) -> Thickness:
    """Return the thickness from the analysed sum of two opposed tips.

    ``alone`` is the first tip by itself: what it moved by leaks where gains differ and tips are not opposite.
    """
    p = result.pooled
    vectors = result.vectors
    assert vectors is not None
    lowest = vectors.extremes
    # One-sided limits by Student's t, two-sided ones as of the fit.
    plain = UncertainNumber(
        p.tir_fit.value, {"two tips": Component(p.tir_fit.u, p.dof or math.inf)}, least=0.0
    )
    return Thickness(
        replace(plain, limits=Limits(p.tir_fit.interval(), plain.one_sided())),
        math.degrees(lowest.low_rad) % 360.0,
        result.mean_mm + lowest.lowest_mm,
        vectors,
        _of_two_gauges(result, alone),
        gauge_taken_as(result.setup, result.gauge.resolution_mm),
    )


def _of_two_gauges(result: SweepResult, alone: SweepResult | None) -> tuple[BudgetLine, ...]:
    """Return the lines of a sum: spreads of two gauges in quadrature, what each hides added up.

    The half-difference of two tips has half of what gains and angle do to their sum.
    """
    lines = [line.times(math.sqrt(2.0), 2.0) for line in result.unseen if line.source in OF_A_GAUGE]
    lines += [line for line in result.unseen if line.source not in OF_A_GAUGE]
    if alone is not None:
        moved = alone.pooled
        lines += [line.times(2.0, 2.0) for line in two_tips(moved.tir_fit.value, moved.tir_first.value / 2.0)]
    return tuple(lines)


def thickness_of_places(result: SweepResult, capture: Capture) -> Thickness:
    """Return the thickness from a micrometer at a few places: their own max - min, u by the last digit.

    Raises BadInput for a thickness that is not above zero.
    """
    s = capture.samples
    if float(np.min(s.reading_mm)) <= 0.0:
        raise BadInput(
            f"a thickness of {float(np.min(s.reading_mm)):g} mm is not above zero: type what the micrometer "
            "read, and correct that place"
        )
    seen = tir_of_few_places(s.angle_rad, s.reading_mm, capture.resolution_mm)
    thinnest = int(np.argmin(s.reading_mm))
    (low, high), (surely, upper) = seen.interval(), seen.one_sided()
    high = max(high, upper if math.isfinite(upper) else 0.0)
    return Thickness(
        replace(seen, limits=Limits((low, high), (surely, high))),
        math.degrees(float(s.angle_rad[thinnest])) % 360.0,
        float(s.reading_mm[thinnest]),
        result.vectors,
        (gauge_error(declared_gauge(capture.setup), capture.resolution_mm),),
        gauge_taken_as(capture.setup, capture.resolution_mm),
    )
