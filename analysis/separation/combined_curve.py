"""How well the TIR and the first order of a combined curve are known: one estimate for every owner.

Takes vectors put together from several sweeps and gives the same kind of estimate as one sweep has.
"""

import math
from dataclasses import dataclass

from analysis.decision import Estimate, estimate_with_u
from analysis.numerics import OrderVectors, normal_quantile, t_quantile
from analysis.setup import Quantity
from analysis.uncertainty import limits_of_curve


@dataclass(frozen=True)
class FirstOrderEstimate:
    """Order 1 of a combined curve: TIR and direction with uncertainty."""

    tir_first_mm: float
    u_mm: float
    interval_mm: tuple[float, float]
    """Two-sided 95 %."""
    high_side_deg: float
    u_deg: float
    """At most 180: nothing is known of the direction."""


def tir_of(vectors: OrderVectors, other_u_mm: float = 0.0, seed: int = 1) -> Estimate:
    """Return the TIR of all orders with its limits.

    Parameters: ``other_u_mm`` standard uncertainty of what is not random, which joins each half-width in
    quadrature. The same seed gives the same answer.
    """
    found = limits_of_curve(vectors.cos_mm, vectors.sin_mm, vectors.covariance_mm2, vectors.dof, seed)
    middle = found.estimate_mm
    two, one = normal_quantile(0.975) * other_u_mm, normal_quantile(0.95) * other_u_mm
    low = max(0.0, middle - math.hypot(middle - found.low_mm, two))
    high = middle + math.hypot(found.high_mm - middle, two)
    t = t_quantile(0.975, vectors.dof)
    return Estimate(
        "tir",
        middle,
        (high - low) / (2.0 * t),
        (low, high),
        max(0.0, middle - math.hypot(middle - found.low_one_sided_mm, one)),
        middle + math.hypot(found.high_one_sided_mm - middle, one),
    )


def first_of(vectors: OrderVectors, other_u_mm: float = 0.0) -> FirstOrderEstimate:
    """Return TIR and high side of order 1 with their uncertainty (first order propagation, Student's t)."""
    size, u_along, u_across = _along_and_across(vectors)
    t = t_quantile(0.975, vectors.dof)
    u = math.hypot(2.0 * u_along, other_u_mm)
    u_rad = math.pi if size == 0.0 else min(math.pi, u_across / size)
    return FirstOrderEstimate(
        2.0 * size,
        u,
        (max(0.0, 2.0 * size - t * u), 2.0 * size + t * u),
        vectors.high_side_deg,
        math.degrees(u_rad),
    )


def first_estimate(
    vectors: OrderVectors, quantity: str = Quantity.TIR_FIRST, other_u_mm: float = 0.0
) -> Estimate:
    """Return order 1 as an estimate to decide on: ``tir_first``, or ``eccentricity``, which is half of it."""
    known = first_of(vectors, other_u_mm)
    half = 0.5 if quantity == Quantity.ECCENTRICITY else 1.0
    return estimate_with_u(quantity, half * known.tir_first_mm, half * known.u_mm, vectors.dof)


def _along_and_across(vectors: OrderVectors) -> tuple[float, float, float]:
    """Return A_1 and the standard uncertainty of z_1 along itself and across."""
    z = complex(vectors.z_mm[0])
    block = vectors.covariance_mm2[:2, :2]
    size = abs(z)
    if size == 0.0:
        u = math.sqrt(max(0.0, float(block[0, 0] + block[1, 1]) / 2.0))
        return 0.0, u, u
    a, b = z.real / size, z.imag / size
    along = a * a * block[0, 0] + 2 * a * b * block[0, 1] + b * b * block[1, 1]
    across = b * b * block[0, 0] - 2 * a * b * block[0, 1] + a * a * block[1, 1]
    return size, math.sqrt(max(0.0, float(along))), math.sqrt(max(0.0, float(across)))
