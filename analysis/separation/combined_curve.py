"""How well the TIR and the first order of a combined curve are known: one number for every error source.

Takes vectors put together from several sweeps and gives the same kind of number as one sweep has.
"""

import math

from analysis.numerics import (
    Component,
    Limits,
    OrderVectors,
    UncertainNumber,
    normal_quantile,
    t_quantile,
)
from analysis.uncertainty import FirstOrderEstimate, limits_of_curve


def tir_of(vectors: OrderVectors, other_u_mm: float = 0.0, seed: int = 1) -> UncertainNumber:
    """Return the TIR of all orders with its limits.

    Parameters: ``other_u_mm`` standard uncertainty of what is not random, which joins each half-width in
    quadrature. The same seed gives the same answer.
    """
    found = limits_of_curve(vectors.cos_mm, vectors.sin_mm, vectors.covariance_mm2, vectors.dof, seed)
    limits = Limits(found.interval(), found.one_sided()).widened(
        found.value,
        normal_quantile(0.975) * other_u_mm,
        normal_quantile(0.95) * other_u_mm,
        least=0.0,
    )
    low, high = limits.two_sided
    u = (high - low) / (2.0 * t_quantile(0.975, vectors.dof))
    return UncertainNumber(found.value, {"sweeps": Component(u, vectors.dof)}, limits=limits, least=0.0)


def first_of(vectors: OrderVectors, other_u_mm: float = 0.0) -> FirstOrderEstimate:
    """Return TIR and high side of order 1 with their uncertainty (first order propagation, Student's t)."""
    size, u_along, u_across = _along_and_across(vectors)
    u = math.hypot(2.0 * u_along, other_u_mm)
    u_rad = math.pi if size == 0.0 else min(math.pi, u_across / size)
    return FirstOrderEstimate(
        UncertainNumber(2.0 * size, {"sweeps": Component(u, vectors.dof)}, least=0.0),
        UncertainNumber(
            vectors.high_side_deg,
            {"sweeps": Component(math.degrees(u_rad), vectors.dof)},
            unit="deg",
            furthest=180.0,
        ),
    )


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
