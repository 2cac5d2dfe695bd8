"""A face taken as a plane and brought to another radius: tilt goes with the radius, axial motion does not.

Of a reading at one radius nobody can say how much of order 1 is the axis moving along itself once a turn. A
reading of tilt t and motion a, brought from R to R', is off by a (R'/R - 1) (own derivation).
"""

import math
from dataclasses import replace

from analysis.numerics import OrderVectors

AXIAL_MOTION_TIR_MM = 0.005
"""What a spindle or a hub may move along its axis once a turn, peak to valley, where no second track tells it
(common practice, no source)."""


def axial_motion_u_mm(ratio: float) -> float:
    """Return the standard uncertainty of each component of order 1 after scaling by ``ratio``, mm.

    The motion's amplitude lies anywhere up to half of ``AXIAL_MOTION_TIR_MM`` and its high side anywhere
    round: (A / 2) |ratio - 1| / sqrt 6 (own derivation: mean square a^2 / 3, half of it in each component).
    """
    return AXIAL_MOTION_TIR_MM / 2.0 * abs(ratio - 1.0) / math.sqrt(6.0)


def plane_at_radius(vectors: OrderVectors, ratio: float) -> OrderVectors:
    """Return order 1 of a face at ``ratio`` times its radius, the axial motion that may be in it counted in.

    Orders 2 and up are left out: a plane says nothing of them elsewhere.
    """
    scaled = vectors.up_to(1).scaled(ratio)
    covariance = scaled.covariance_mm2.copy()
    covariance[[0, 1], [0, 1]] += axial_motion_u_mm(ratio) ** 2
    return replace(scaled, covariance_mm2=covariance)
