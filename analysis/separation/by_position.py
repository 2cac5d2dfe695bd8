"""Whose error is it: part and spindle told apart, order by order, from sweeps at any set of index angles.

A sweep at index alpha reads m(theta) = Q(theta - alpha) + S(theta) in arbor angle: Q = part + seat turns
with the part, S = spindle + arbor stays. Per order m_n = Q_n exp(i n alpha) + S_n, solved by least squares.
A sweep of the arbor alone reads S: its index angle is None. A perfect cut at index alpha_0 reads nothing
there: an exact sweep of zeros at alpha_0 stands for it.
Orders at which all positions look alike cannot be separated, and no number is given for them. Blind to the
part's own seat: the part alone needs a sweep in its own bearings.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis.errors import BadInput
from analysis.numerics import Complexes, Floats, OrderVectors, as_vectors, combined
from analysis.setup import MarkSide

LARGEST_FACTOR = 5.0
"""With a noise factor above this an index angle off by a degree says more than the sweeps: not separable."""
JUDGED_ORDERS = 6
"""Orders 1 to 6 judge which position to add."""


@dataclass(frozen=True)
class SeparatedOrder:
    """One order told apart; None where these positions cannot."""

    n: int
    part_mm: complex | None
    """Q_n in part angle."""
    u_part_mm: float | None
    """Standard uncertainty of each component."""
    spindle_mm: complex | None
    """S_n in arbor angle."""
    u_spindle_mm: float | None
    noise_factor: float | None
    """Noise of Q_n over that of one sweep; None where it is without end."""

    @property
    def separable(self) -> bool:
        """True where the order has numbers."""
        return self.part_mm is not None


@dataclass(frozen=True)
class Separation:
    """Part and spindle told apart."""

    orders: tuple[SeparatedOrder, ...]
    part: OrderVectors
    """Q in part angle, orders that cannot be separated zero."""
    spindle: OrderVectors
    """S in arbor angle, likewise."""
    not_separable: tuple[int, ...]
    best_next_deg: float | None
    """Index angle (arbor) that, added to these, leaves the least worst noise factor over orders 1 to 6; None
    after a reversal, which wants none."""

    def __repr__(self) -> str:
        """Return which orders are told apart, on one line."""
        separable = [order.n for order in self.orders if order.separable]
        return f"Separation({len(separable)} of {len(self.orders)} orders told apart, part {self.part})"

    @property
    def first_separable(self) -> bool:
        """True where order 1, a plain wobble, is told apart."""
        return self.orders[0].separable


def _turning_with_part(index_rad: Sequence[float | None], highest_order: int) -> Complexes:
    """Return exp(i n alpha_j), shape (J, H); 0 for a sweep of the arbor alone, in which the part is not."""
    orders = np.arange(1, highest_order + 1)
    rows = [np.zeros(highest_order) if rad is None else np.exp(1j * orders * rad) for rad in index_rad]
    return np.asarray(rows, np.complex128)


def noise_factors(index_rad: Sequence[float | None], highest_order: int) -> Floats:
    """Return sqrt(J / (J K - |c_n|^2)), c_n = sum exp(i n alpha_j), for orders 1..H; inf where not solvable.

    J sweeps, K of them with the part on the arbor (index angle None: the arbor alone). It is the standard
    deviation of each component of Q_n over that of one sweep.
    """
    with_part = sum(rad is not None for rad in index_rad)
    return _factors(_turning_with_part(index_rad, highest_order).sum(axis=0), len(index_rad), with_part)


def _factors(summed: Complexes, count: int, with_part: int) -> Floats:
    """Return the same of c_n, orders along the last axis."""
    room = count * with_part - np.abs(summed) ** 2
    solvable = room > 1e-9 * count**2
    return np.where(solvable, np.sqrt(count / np.where(solvable, room, 1.0)), np.inf)


def best_next_deg(index_deg: Sequence[float | None]) -> float:
    """Return the position to add: least worst noise factor over orders 1..6, on a grid of one degree.

    The smallest angle on ties.
    """
    so_far = _turning_with_part(_radians(index_deg), JUDGED_ORDERS)
    added = _turning_with_part(np.radians(np.arange(360)).tolist(), JUDGED_ORDERS)
    with_part = 1 + sum(deg is not None for deg in index_deg)
    largest = _factors(so_far.sum(axis=0) + added, len(index_deg) + 1, with_part).max(axis=1)
    return float(np.flatnonzero(largest <= largest.min() * (1.0 + 1e-9))[0])


def _radians(index_deg: Sequence[float | None]) -> list[float | None]:
    return [None if deg is None else math.radians(deg) for deg in index_deg]


def separate(sweeps: Sequence[Any], index_deg: Sequence[float | None]) -> Separation:
    """Tell part and spindle apart.

    Parameters: ``sweeps`` the orders of each sweep: a sweep's result, which tells by its ``mark_on`` from
    whose mark it counts, or vectors or arrays of complex z_n (mm) in ARBOR angle; ``index_deg`` where the
    part's mark sat on the arbor in each, degrees, None for the arbor alone. Returns part (part angle) and
    spindle (arbor angle) by order. Raises BadInput for one sweep, angles that are missing, none with the part
    on, or a sweep of the arbor alone that counts from the part's mark.
    """
    given = [as_vectors(one, "sweep") for one in sweeps]
    if len(given) != len(index_deg):
        raise BadInput(f"{len(given)} sweeps and {len(index_deg)} index angles: give one angle to each sweep")
    if len(given) < 2:
        raise BadInput(f"{len(given)} sweep: at least two at different index angles are needed; re-index")
    if not all(deg is None or math.isfinite(deg) for deg in index_deg):
        raise BadInput("an index angle is not a finite number: give degrees on the arbor")
    if all(deg is None for deg in index_deg):
        raise BadInput("the arbor alone in every sweep: add one with the part mounted on it")
    given = [
        _in_arbor_angle(one, vectors, deg) for one, vectors, deg in zip(sweeps, given, index_deg, strict=True)
    ]
    highest = min(one.highest_order for one in given)
    alpha = _radians(index_deg)
    factors = noise_factors(alpha, highest)
    of_part, of_spindle = solving_factors(alpha, highest)
    part = combined([(one, of_part[j]) for j, one in enumerate(given)])
    spindle = combined([(one, of_spindle[j]) for j, one in enumerate(given)])
    separable = factors <= LARGEST_FACTOR
    orders = tuple(
        SeparatedOrder(
            n=n + 1,
            part_mm=complex(part.z_mm[n]) if separable[n] else None,
            u_part_mm=float(part.u_mm[n]) if separable[n] else None,
            spindle_mm=complex(spindle.z_mm[n]) if separable[n] else None,
            u_spindle_mm=float(spindle.u_mm[n]) if separable[n] else None,
            noise_factor=float(factors[n]) if math.isfinite(factors[n]) else None,
        )
        for n in range(highest)
    )
    return Separation(
        orders,
        part,
        spindle,
        tuple(order.n for order in orders if not order.separable),
        best_next_deg(index_deg),
    )


def _in_arbor_angle(sweep: Any, vectors: OrderVectors, index_deg: float | None) -> OrderVectors:
    """Return the orders of a sweep from the arbor's mark; vectors and arrays are from there already."""
    setup = getattr(sweep, "setup", None)
    if setup is None or setup.mark_on == MarkSide.ARBOR:
        return vectors
    if index_deg is None:
        raise BadInput(
            "a sweep of the arbor alone counts from the part's mark: set mark_on = arbor, or hand over "
            "its vectors"
        )
    return vectors.turned(math.radians(index_deg))


def solving_factors(index_rad: Sequence[float | None], highest_order: int) -> tuple[Complexes, Complexes]:
    """Return the complex weights of each sweep in Q_n and in S_n, shape (J, H) each.

    Least squares over m_jn = Q_n e_jn + S_n, e_jn = 0 for the arbor alone; zero where the order is not
    separable.
    """
    e = _turning_with_part(index_rad, highest_order)
    count, with_part = len(index_rad), sum(rad is not None for rad in index_rad)
    c = e.sum(axis=0)
    keep = noise_factors(index_rad, highest_order) <= LARGEST_FACTOR
    room = np.where(keep, count * with_part - np.abs(c) ** 2, 1.0)
    of_part = np.where(keep, (count * e.conj() - c.conj()) / room, 0.0)
    of_spindle = np.where(keep, (with_part - c * e.conj()) / room, 0.0)
    return of_part, of_spindle
