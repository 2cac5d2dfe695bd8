"""Every position of a bolted-on part predicted from two sweeps, and the best one.

In position k the part's mark sits where the flange reads beta_k: the assembly reads h(phi) + r(phi - beta_k)
in flange angle, all orders. From sweeps taken assembled, flange and part are told apart first. An order n
that they do not tell apart is h_n + r_n exp(i n beta_0) in all of them, s_n; at another position it is
s_n + r_n (exp(i n beta) - exp(i n beta_0)), no larger than |s_n| + 2 |r_n|: with a sweep of the part alone,
whose amplitudes count and not its seat, such a position has bounds (own derivation).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis.errors import BadInput
from analysis.numerics import Complexes, Floats, OrderVectors, UncertainNumber, as_vectors, combined
from analysis.separation import LARGEST_FACTOR, first_of, noise_factors, solving_factors, tir_of

MOST_HOLES = 360
_OF_A_VECTOR = 2.448
"""sqrt of the 95 % quantile of chi-squared with 2 degrees of freedom: an amplitude's reach in standard
uncertainties of a component (any handbook's table: 5.991)."""


@dataclass(frozen=True)
class Position:
    """One position, predicted; angles on the flange."""

    hole: int
    """From 1; hole 1 is at the flange's mark."""
    deg: float
    """Where the part's mark sits."""
    tir: UncertainNumber | None
    """TIR of all orders; None where an order of this position is not known."""
    tir_bounds_mm: tuple[float, float] | None
    """Between what its TIR lies with 95 %, orders that are not known taken at their largest; None where
    nothing bounds them."""
    first_mm: float | None
    """TIR of order 1."""
    high_side_deg: float | None
    curve: OrderVectors | None


@dataclass(frozen=True)
class HolePositions:
    """All positions, and the best one where it can be told."""

    positions: tuple[Position, ...]
    best: Position | None
    """Its TIR lies under that of every other with 95 %; None where more than one can be the least."""
    between: tuple[Position, ...]
    """Those that can be the least where no best one is told; one without a TIR is always among them."""
    not_separable: tuple[int, ...]
    """Orders that the assembled sweeps do not tell apart."""

    def __repr__(self) -> str:
        """Return how many there are and which is best on one line."""
        best = "none told" if self.best is None else f"{self.best.deg:.1f} deg"
        return f"HolePositions({len(self.positions)} positions, best: {best})"


def hole_angles(holes: int | Sequence[float]) -> list[float]:
    """Return the angles of N equal holes, or a list of allowed angles as given (degrees).

    Raises BadInput for fewer than two, or more than 360.
    """
    if isinstance(holes, int):
        if holes < 2:
            raise BadInput(f"{holes} hole(s) leave nothing to choose: give the number of holes, 2 or more")
        if holes > MOST_HOLES:
            raise BadInput(f"{holes} holes: expected 2 to {MOST_HOLES}; give how many there are")
        return [360.0 * k / holes for k in range(holes)]
    angles = [float(deg) % 360.0 for deg in holes]
    if len(angles) < 2:
        raise BadInput("one allowed angle leaves nothing to choose: list two or more, or the number of holes")
    return angles


def hole_positions(
    flange: Any, part: Any, holes: int | Sequence[float], *, other_u_mm: float = 0.0, seed: int = 1
) -> HolePositions:
    """Predict every position from one sweep of the flange and one of the part.

    Parameters: orders of each in its own angle, seen from the same end and at the same radius (Vectors,
    results, complex arrays in mm, pint quantities); number of equal holes, or allowed angles in degrees.
    """
    h, r = as_vectors(flange, "flange"), as_vectors(part, "part")
    highest = min(h.highest_order, r.highest_order)
    orders = np.arange(1, highest + 1)
    found = []
    for k, deg in enumerate(hole_angles(holes)):
        turn = np.exp(1j * orders * math.radians(deg))
        curve = combined([(h.up_to(highest), 1.0), (r.up_to(highest), turn)])
        found.append(_position(k, deg, curve, True, True, other_u_mm, seed))
    return HolePositions(tuple(found), *_least(found), ())


def positions_from_assembled(
    sweeps: Sequence[Any],
    index_deg: Sequence[float],
    holes: int | Sequence[float],
    *,
    part_alone: Any = None,
    other_u_mm: float = 0.0,
    seed: int = 1,
) -> HolePositions:
    """Predict every position from sweeps taken assembled, in flange angle, at these positions (degrees).

    An order that they do not tell apart is still predicted at a position that looks like theirs in it (six
    holes, orders 6 and 12); elsewhere the position has no TIR, but bounds where a sweep of the part alone, at
    the same radius, says how large the order can be.
    """
    given = [as_vectors(one, "assembled sweep") for one in sweeps]
    if len(given) < 2 or len(given) != len(index_deg):
        raise BadInput(f"{len(given)} assembled sweeps: give two or more, each with its position as FILE@DEG")
    highest = min(one.highest_order for one in given)
    orders = np.arange(1, highest + 1)
    alpha = [math.radians(deg) for deg in index_deg]
    of_part, of_flange = solving_factors(alpha, highest)
    separable = noise_factors(alpha, highest) <= LARGEST_FACTOR
    seen: Complexes = np.exp(1j * np.multiply.outer(np.asarray(alpha), orders))
    largest_mm = None if part_alone is None else _largest_mm(given, part_alone, highest)
    found = []
    for k, deg in enumerate(hole_angles(holes)):
        turn = np.exp(1j * orders * math.radians(deg))
        alike = ~separable & (np.abs(seen - turn).max(axis=0) < 0.02)
        known = separable | alike
        factors = of_part * turn + of_flange
        factors = np.where(alike, 1.0 / len(given), factors)
        curve = combined([(one, factors[j]) for j, one in enumerate(given)])
        unknown_mm = None if largest_mm is None else float(largest_mm[~known].sum())
        found.append(
            _position(k, deg, curve, bool(known.all()), bool(known[0]), other_u_mm, seed, unknown_mm)
        )
    return HolePositions(tuple(found), *_least(found), tuple(int(n) for n in orders[~separable]))


def _largest_mm(assembled: Sequence[OrderVectors], part_alone: Any, highest: int) -> Floats:
    """Return how large each order can be at any position, mm: |seen| + 2 |part alone|, each with its 95 %."""
    part = as_vectors(part_alone, "part alone")
    if part.highest_order < highest:
        raise BadInput(
            f"the sweep of the part alone has orders up to {part.highest_order}, the assembled ones up to "
            f"{highest}: sweep it with as many values a turn"
        )
    seen = np.max(
        [np.abs(one.z_mm[:highest]) + _OF_A_VECTOR * one.u_mm[:highest] for one in assembled], axis=0
    )
    alone = np.abs(part.z_mm[:highest]) + _OF_A_VECTOR * part.u_mm[:highest]
    return np.asarray(seen + 2.0 * alone)


def _position(
    k: int,
    deg: float,
    curve: OrderVectors,
    all_known: bool,
    first_known: bool,
    other_u_mm: float,
    seed: int,
    unknown_mm: float | None = 0.0,
) -> Position:
    """Return one position; ``unknown_mm`` how large its unknown orders can be together, None if anything."""
    first = first_of(curve)
    tir = tir_of(curve, other_u_mm, seed)
    bounds = None
    if unknown_mm is not None:
        low, high = tir.interval()
        bounds = (max(0.0, low - 2.0 * unknown_mm), high + 2.0 * unknown_mm)
    return Position(
        k + 1,
        deg % 360.0,
        tir if all_known else None,
        tir.interval() if all_known else bounds,
        first.tir_first.value if first_known else None,
        first.high_side.value if first_known else None,
        curve if all_known else None,
    )


def _least(found: Sequence[Position]) -> tuple[Position | None, tuple[Position, ...]]:
    """Return the position whose TIR lies under every other's, or None and all that can be the least.

    Of a position where an order is not known and nothing bounds it the TIR may be anything: it is never
    ranked by order 1 alone.
    """
    ends = [one.tir_bounds_mm or (0.0, math.inf) for one in found]
    least_upper = min(high for _, high in ends)
    able = tuple(one for one, (low, _) in zip(found, ends, strict=True) if low <= least_upper)
    return (able[0], ()) if len(able) == 1 else (None, able)
