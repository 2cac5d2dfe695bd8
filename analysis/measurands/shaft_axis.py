"""Eccentricity at any plane along a shaft from sweeps at two: is it bent or off-centre?"""

import math
from dataclasses import dataclass
from typing import Any

from analysis.errors import BadInput
from analysis.numerics import OrderVectors, as_vectors, combined


@dataclass(frozen=True)
class Axis:
    """The part's axis against the axis of turning, from two planes; order 1 of the reading."""

    first_plane_mm: float
    second_plane_mm: float
    first: OrderVectors
    second: OrderVectors

    def at(self, plane_mm: float) -> OrderVectors:
        """Return order 1 predicted at another plane (straight between and beyond the two)."""
        share = (plane_mm - self.first_plane_mm) / (self.second_plane_mm - self.first_plane_mm)
        return combined([(self.first, 1.0 - share), (self.second, share)])

    @property
    def slope_mrad(self) -> complex:
        """Change of eccentricity along the axis, 1000 x mm per mm, as a vector."""
        along = self.second_plane_mm - self.first_plane_mm
        return complex(1000.0 * (self.second.z_mm[0] - self.first.z_mm[0]) / along)

    @property
    def crossing_plane_mm(self) -> float | None:
        """Plane at which the axis comes nearest to the axis of turning; None where they run parallel."""
        step = complex(self.second.z_mm[0] - self.first.z_mm[0])
        if abs(step) < 1e-12:
            return None
        share = -(complex(self.first.z_mm[0]) * step.conjugate()).real / abs(step) ** 2
        return self.first_plane_mm + share * (self.second_plane_mm - self.first_plane_mm)

    @property
    def tilted(self) -> bool:
        """True where the planes differ by more than is explained, as on a bent shaft; else off-centre."""
        step = complex(self.second.z_mm[0] - self.first.z_mm[0])
        return abs(step) > 3.0 * math.hypot(float(self.first.u_mm[0]), float(self.second.u_mm[0]))


def axis_from_planes(first: Any, first_plane_mm: float, second: Any, second_plane_mm: float) -> Axis:
    """Return the axis from order 1 at two planes (Vectors, results, or complex arrays in mm).

    Raises BadInput where the planes coincide.
    """
    if not abs(second_plane_mm - first_plane_mm) > 0.0:
        raise BadInput(
            f"both sweeps lie at plane {first_plane_mm:g} mm: take one at another plane along the axis"
        )
    return Axis(
        first_plane_mm,
        second_plane_mm,
        as_vectors(first, "first plane").up_to(1),
        as_vectors(second, "second plane").up_to(1),
    )
