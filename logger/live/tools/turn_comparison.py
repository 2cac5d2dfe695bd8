"""Two stored turns against one another by the rules of ``analysis.measurands``: curves, difference, terms."""

import math
from dataclasses import dataclass

import numpy as np

from analysis.capture import Floats
from analysis.measurands import (
    Difference,
    in_terms_of_first,
    radius_scale,
    setup_differences,
    turned_to_part,
)
from analysis.numerics import OrderVectors, exact, on_grid
from analysis.setup import CompareEffect, Setup, parse_setup
from analysis.store.rows import StoredTurn
from logger.live.state.pass_trace import BINS

MARK_TOUCHED_ANEW = "the mark was touched anew:"
"""Stands for a field of the set-up among the differences."""


@dataclass(frozen=True)
class Comparison:
    """Two turns and what changed between them, in the terms of the one before."""

    before: StoredTurn
    after: StoredTurn
    before_mm: Floats
    """Curve on 720 bins of the turn, in part angle."""
    after_mm: Floats
    """The other's, seen from the same end and at the same radius; as it was read where that cannot be."""
    change_mm: Floats | None
    """After less before; None where they are not comparable."""
    change_tir_mm: float
    change_first_mm: float
    """TIR of order 1 of the change: how much."""
    change_first_deg: float
    """Its high side: which way."""
    differences: tuple[Difference, ...]
    terms: tuple[str, ...]
    """What was done to bring the second to the terms of the first, in words."""

    @property
    def comparable(self) -> bool:
        """Tell whether nothing blocks the comparison."""
        return all(one.effect != CompareEffect.BLOCKS for one in self.differences)


def compare(before: StoredTurn, after: StoredTurn) -> Comparison | None:
    """Compare two stored turns; None where one of them has no curve."""
    n = min(len(before.cos_mm), len(after.cos_mm))
    if n == 0:
        return None
    a, b = parse_setup({}, kept=before.setup), parse_setup({}, kept=after.setup)
    differences = (*setup_differences(a, b, (len(before.cos_mm), len(after.cos_mm))), *_marks(before, after))
    first, second = _in_part_angle(before, a, n), _in_part_angle(after, b, n)
    if any(one.effect == CompareEffect.BLOCKS for one in differences):
        return Comparison(
            before, after, _curve(first), _curve(second), None, math.nan, math.nan, math.nan, differences, ()
        )
    first, second = in_terms_of_first(a, b, first, second)
    change = second - first
    return Comparison(
        before,
        after,
        _curve(first),
        _curve(second),
        _curve(change),
        float(np.ptp(_curve(change))),
        change.tir_first_mm,
        change.high_side_deg,
        differences,
        _terms(a, b, differences),
    )


def _marks(before: StoredTurn, after: StoredTurn) -> tuple[Difference, ...]:
    """Return what two marks do to a comparison: angles from two places on the part are not compared.

    A job asks for the part's one mark at each of its steps: within it both marks are declared the same line.
    """
    if before.mark == after.mark or before.mark is None or after.mark is None:
        return ()
    jobs = [(one.setup.get("part", ""), one.setup.get("job", "")) for one in (before, after)]
    if jobs[0] == jobs[1] and all(jobs[0]):
        return ()
    return (Difference(MARK_TOUCHED_ANEW, before.mark, after.mark, CompareEffect.BLOCKS),)


def _in_part_angle(turn: StoredTurn, setup: Setup, orders: int) -> OrderVectors:
    z = np.array(turn.cos_mm[:orders]) + 1j * np.array(turn.sin_mm[:orders])
    return turned_to_part(exact(z), setup)


def _curve(vectors: OrderVectors) -> Floats:
    return on_grid(vectors.cos_mm, vectors.sin_mm, BINS)


def _terms(before: Setup, after: Setup, differences: tuple[Difference, ...]) -> tuple[str, ...]:
    """Return what was done to what ``rescaled`` names, in words."""
    scale = radius_scale(before, after)
    said = {
        "track_radius": f"after x {scale:.3f} to the radius before, once round alone, as a plane"
        if scale
        else "",
        "declared_end": "after mirrored, to be seen from the end of before",
        "highest_order": "as many orders as both have",
        "gauge_angle": "each with its own gauge angle taken off",
    }
    return tuple(
        said[one.field] for one in differences if one.effect == CompareEffect.RESCALED and said.get(one.field)
    )
