"""Whose error is it: part and spindle told apart, order by order, from sweeps at any set of index angles.

A sweep at index alpha reads m(theta) = Q(theta - alpha) + S(theta) in arbor angle: Q = part + seat turns
with the part, S = spindle + arbor stays. Per order m_n = Q_n exp(i n alpha) + S_n, solved by least squares.
Orders at which all positions look alike cannot be separated, and no number is given for them. Blind to the
part's own seat: the part alone needs a sweep in its own bearings.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis.errors import BadInput, NotDecidable
from analysis.vectors import Complexes, Floats, Vectors, as_vectors, combined

WORST_FACTOR = 5.0
"""With a noise factor above this an index angle off by a degree says more than the sweeps: not separable."""
JUDGED_ORDERS = 6
"""Orders 1 to 6 judge which position to add."""


@dataclass(frozen=True)
class OwnedOrder:
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

    orders: tuple[OwnedOrder, ...]
    part: Vectors
    """Q in part angle, orders that cannot be separated zero."""
    spindle: Vectors
    """S in arbor angle, likewise."""
    not_separable: tuple[int, ...]
    best_next_deg: float
    """Index angle (arbor) that, added to these, leaves the least worst noise factor over orders 1 to 6."""

    @property
    def first_separable(self) -> bool:
        """True where order 1, a plain wobble, is told apart."""
        return self.orders[0].separable


def noise_factors(index_rad: Sequence[float], highest_order: int) -> Floats:
    """Return sqrt(J / (J^2 - |c_n|^2)), c_n = sum exp(i n alpha_j), for orders 1..H; inf where not solvable.

    It is the standard deviation of each component of Q_n (and of S_n) over that of one sweep.
    """
    orders = np.arange(1, highest_order + 1)
    c = np.exp(1j * np.multiply.outer(orders, np.asarray(index_rad, np.float64))).sum(axis=1)
    count = len(index_rad)
    room = count**2 - np.abs(c) ** 2
    solvable = room > 1e-9 * count**2
    return np.where(solvable, np.sqrt(count / np.where(solvable, room, 1.0)), np.inf)


def best_next_deg(index_deg: Sequence[float]) -> float:
    """Return the position to add: least worst noise factor over orders 1..6, on a grid of one degree.

    The smallest angle on ties.
    """
    so_far = [math.radians(deg) for deg in index_deg]
    worst = [
        float(noise_factors([*so_far, math.radians(deg)], JUDGED_ORDERS).max()) for deg in range(360)
    ]  # fmt: skip
    least = min(worst)
    return float(next(deg for deg, each in enumerate(worst) if each <= least * (1.0 + 1e-9)))


def separate(sweeps: Sequence[Any], index_deg: Sequence[float]) -> Separation:
    """Tell part and spindle apart.

    Parameters: ``sweeps`` the orders of each sweep in ARBOR angle (Vectors, a sweep's result whose zero was
    the arbor's mark, or arrays of complex z_n in mm); ``index_deg`` where the part's mark sat on the arbor
    in each, degrees. Returns part (part angle) and spindle (arbor angle) by order. Raises BadInput for one
    sweep or angles that are missing.
    """
    given = [as_vectors(one, "sweep") for one in sweeps]
    if len(given) != len(index_deg):
        raise BadInput(f"{len(given)} sweeps and {len(index_deg)} index angles: give one angle to each sweep")
    if len(given) < 2:
        raise BadInput(f"{len(given)} sweep: at least two at different index angles are needed; re-index")
    if not all(math.isfinite(deg) for deg in index_deg):
        raise BadInput("an index angle is not a finite number: give degrees on the arbor")
    highest = min(one.highest_order for one in given)
    alpha = np.radians(np.asarray(index_deg, np.float64))
    factors = noise_factors(list(alpha), highest)
    of_part, of_spindle = solving_factors(list(alpha), highest)
    part = combined([(one, of_part[j]) for j, one in enumerate(given)])
    spindle = combined([(one, of_spindle[j]) for j, one in enumerate(given)])
    separable = factors <= WORST_FACTOR
    orders = tuple(
        OwnedOrder(
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


def solving_factors(index_rad: Sequence[float], highest_order: int) -> tuple[Complexes, Complexes]:
    """Return the complex weights of each sweep in Q_n and in S_n, shape (J, H) each.

    Least squares over m_jn = Q_n e_jn + S_n; zero where the order is not separable.
    """
    orders = np.arange(1, highest_order + 1)
    e = np.exp(1j * np.multiply.outer(np.asarray(index_rad, np.float64), orders))
    count = len(index_rad)
    c = e.sum(axis=0)
    keep = noise_factors(index_rad, highest_order) <= WORST_FACTOR
    room = np.where(keep, count**2 - np.abs(c) ** 2, 1.0)
    of_part = np.where(keep, (count * e.conj() - c.conj()) / room, 0.0)
    of_spindle = np.where(keep, (count - c * e.conj()) / room, 0.0)
    return of_part, of_spindle


def require_first(separation: Separation) -> None:
    """Raise NotDecidable where not even order 1 can be told apart."""
    if not separation.first_separable:
        raise NotDecidable(
            "order 1 cannot be separated with these positions: add a sweep with the part re-indexed to "
            f"{separation.best_next_deg:g} deg on the arbor"
        )
