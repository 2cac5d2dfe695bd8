"""Runout as vectors, order by order, with what is known of how well: turned, mirrored, added, subtracted.

Orders are combined as complex numbers z_n = a_n + i b_n of r(phi) = Re(z_n exp(-i n phi)), never as
amplitude and angle apart. Knows nothing of who owns which vector.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import BadInput
from analysis.numerics.curve_extremes import Extremes, evaluate, extremes
from analysis.units import to_mm

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, eq=False)
class OrderVectors:
    """Orders 1..H of one surface or of one owner."""

    z_mm: Complexes
    """z_n = a_n + i b_n, shape (H,)."""
    covariance_mm2: Floats
    """Covariance of a1, b1, a2, b2, ...; shape (2H, 2H)."""
    dof: float = math.inf
    """Degrees of freedom of that covariance."""

    def __repr__(self) -> str:
        """Return it on one line, order 1 as the dial shows it."""
        return (
            f"OrderVectors(orders 1 to {self.highest_order}, order 1 TIR {self.tir_first_mm:.4f} mm, "
            f"high at {self.high_side_deg:.1f} deg)"
        )

    @property
    def highest_order(self) -> int:
        """H."""
        return len(self.z_mm)

    @property
    def cos_mm(self) -> Floats:
        """a_n, shape (H,)."""
        return np.ascontiguousarray(self.z_mm.real)

    @property
    def sin_mm(self) -> Floats:
        """b_n, shape (H,)."""
        return np.ascontiguousarray(self.z_mm.imag)

    @property
    def u_mm(self) -> Floats:
        """Standard uncertainty of each component of each order, shape (H,)."""
        pairs = np.diag(self.covariance_mm2).reshape(-1, 2)
        return np.asarray(np.sqrt(np.maximum(pairs.mean(axis=1), 0.0)))

    @property
    def extremes(self) -> Extremes:
        """Highest and lowest point of the curve of all orders."""
        return extremes(self.cos_mm, self.sin_mm)

    @property
    def tir_first_mm(self) -> float:
        """Twice the amplitude of order 1."""
        return 2.0 * abs(complex(self.z_mm[0]))

    @property
    def high_side_deg(self) -> float:
        """Direction of order 1, degrees 0 to 360."""
        return math.degrees(math.atan2(self.z_mm[0].imag, self.z_mm[0].real)) % 360.0

    def curve(self, angle_rad: ArrayLike) -> Floats:
        """Return the curve of all orders at these angles, mm."""
        return evaluate(self.cos_mm, self.sin_mm, np.asarray(angle_rad, np.float64))

    def u_curve_mm(self, angle_rad: ArrayLike) -> Floats:
        """Return the standard uncertainty of the curve at each of these angles, mm."""
        at = np.multiply.outer(np.asarray(angle_rad, np.float64), np.arange(1, self.highest_order + 1))
        g = np.stack([np.cos(at), np.sin(at)], axis=-1).reshape(*at.shape[:-1], 2 * self.highest_order)
        return np.asarray(np.sqrt(np.maximum(np.sum((g @ self.covariance_mm2) * g, axis=-1), 0.0)))

    def turned(self, angle_rad: float) -> "OrderVectors":
        """Return the same surface with its high places moved on by this angle."""
        orders = np.arange(1, self.highest_order + 1)
        return combined([(self, np.exp(1j * orders * angle_rad))])

    def mirrored(self) -> "OrderVectors":
        """Return the same surface seen from the other end: z -> conj z. Readings keep their sign."""
        sign = np.tile([1.0, -1.0], self.highest_order)
        return OrderVectors(self.z_mm.conj(), self.covariance_mm2 * np.outer(sign, sign), self.dof)

    def scaled(self, factor: ArrayLike) -> "OrderVectors":
        """Return every order times a real factor (one for all, or one an order)."""
        return combined([(self, np.asarray(factor, np.complex128))])

    def only(self, orders: Sequence[int]) -> "OrderVectors":
        """Return the same with all other orders zero, and known to be."""
        kept = np.isin(np.arange(1, self.highest_order + 1), orders)
        return self.scaled(kept.astype(np.float64))

    def up_to(self, highest_order: int) -> "OrderVectors":
        """Return the first orders alone."""
        twice = 2 * highest_order
        return OrderVectors(
            self.z_mm[:highest_order].copy(), self.covariance_mm2[:twice, :twice].copy(), self.dof
        )

    def with_angle(self, u_rad: float) -> "OrderVectors":
        """Return the same with an angle known only to ``u_rad``: it turns all orders together."""
        if u_rad <= 0.0:
            return self
        orders = np.arange(1, self.highest_order + 1)
        moved = 1j * orders * self.z_mm
        along = np.stack([moved.real, moved.imag], axis=1).ravel() * u_rad
        return OrderVectors(self.z_mm, self.covariance_mm2 + np.outer(along, along), self.dof)

    def __add__(self, other: "OrderVectors") -> "OrderVectors":
        """Return the two on top of one another; independent of each other, in their common orders."""
        return combined([(self, 1.0), (other, 1.0)])

    def __sub__(self, other: "OrderVectors") -> "OrderVectors":
        """Return what the other leaves; independent of each other, in their common orders."""
        return combined([(self, 1.0), (other, -1.0)])


def combined(terms: Sequence[tuple[OrderVectors, Any]]) -> OrderVectors:
    """Return the sum of independent vectors, each times a complex factor an order, with its covariance.

    Parameters: pairs of vectors and factor (one number, or shape (H,)). Only orders that all terms have are
    kept: of higher ones something is not known. Degrees of freedom after Welch and Satterthwaite (JCGM 100,
    G.4.1) on the trace of the covariance.
    """
    highest = min(one.highest_order for one, _ in terms)
    z = np.zeros(highest, np.complex128)
    covariance = np.zeros((2 * highest, 2 * highest))
    shares: list[tuple[float, float]] = []
    for one, factor in terms:
        c = np.broadcast_to(np.asarray(factor, np.complex128), (one.highest_order,))[:highest]
        z += c * one.z_mm[:highest]
        turn = np.zeros((2 * highest, 2 * highest))
        even, odd = np.arange(highest) * 2, np.arange(highest) * 2 + 1
        turn[even, even] = turn[odd, odd] = c.real
        turn[even, odd], turn[odd, even] = -c.imag, c.imag
        part = turn @ one.covariance_mm2[: 2 * highest, : 2 * highest] @ turn.T
        covariance += part
        shares.append((float(np.trace(part)), one.dof))
    return OrderVectors(z, covariance, _together(shares))


def _together(shares: Sequence[tuple[float, float]]) -> float:
    """Return the degrees of freedom of a sum of variances, each with its own."""
    total = sum(variance for variance, _ in shares)
    below = sum(variance**2 / dof for variance, dof in shares if variance > 0.0 and math.isfinite(dof))
    return total**2 / below if below > 0.0 else math.inf


def exact(z_mm: ArrayLike) -> OrderVectors:
    """Return vectors known exactly (mm)."""
    z = np.atleast_1d(np.asarray(z_mm, np.complex128))
    return OrderVectors(z, np.zeros((2 * len(z), 2 * len(z))))


def as_vectors(value: Any, what: str = "vectors") -> OrderVectors:
    """Return vectors from what a caller hands over.

    Accepts Vectors, a result that has ``vectors``, an array of complex z_n (mm) or a pint quantity of it.
    Raises BadInput for anything of another shape or not finite.
    """
    if isinstance(value, OrderVectors):
        return value
    inside = getattr(value, "vectors", None)
    if isinstance(inside, OrderVectors):
        return inside
    z = np.atleast_1d(np.asarray(to_mm(value, what), np.complex128))
    if z.ndim != 1 or not len(z) or not np.isfinite(z).all():
        raise BadInput(f"{what} of shape {z.shape}: hand over finite complex z_1..z_H in mm, shape (H,)")
    return exact(z)
