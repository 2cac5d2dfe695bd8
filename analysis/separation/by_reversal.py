"""Part and spindle from two sweeps: the part re-indexed by half a turn and the indicator moved opposite.

R. R. Donaldson, A simple method for separating spindle error from test ball roundness error, CIRP Annals
21, 1972 (from memory). On an outside or a bore it separates all orders; on a face only the tilt motion comes
apart, the face's form and the axial motion do not.
"""

from dataclasses import dataclass
from typing import Any

from analysis.numerics import OrderVectors, as_vectors, combined
from analysis.setup import Surface


@dataclass(frozen=True)
class Reversal:
    """What a reversal tells, in part angle."""

    surface: str
    part: OrderVectors
    """Outside, bore: the part. Face: the part's face AND the axial motion, which do not come apart."""
    motion: OrderVectors
    """Outside, bore: the spindle's motion toward the first place of the indicator. Face: its tilt motion."""
    part_alone: bool
    """False on a face."""


def reversal(first: Any, opposite: Any, surface: str) -> Reversal:
    """Return part and motion from the first sweep and the one with part and indicator half a turn round.

    Parameters: both sweeps' orders in PART angle (Vectors, results, or complex arrays in mm), each with the
    reading positive toward its own indicator. At the same part angle the spindle stands the same, so that
    its radial motion comes with the other sign: part = (m1 + m2) / 2, motion = (m1 - m2) / 2.
    """
    m1, m2 = as_vectors(first, "first sweep"), as_vectors(opposite, "opposite sweep")
    return Reversal(
        surface,
        combined([(m1, 0.5), (m2, 0.5)]),
        combined([(m1, 0.5), (m2, -0.5)]),
        surface != Surface.FACE,
    )
