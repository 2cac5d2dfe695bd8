"""Slip of the angle between turns, told from the part itself where no index pulse checks the counts.

Orders 1 to 3 of every turn stand at the same place of the part; counts lost between two turns turn them.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.numerics import Complexes

_ORDERS = 3


@dataclass(frozen=True)
class Slip:
    """Greatest step between two turns that follow each other."""

    step_deg: float
    u_deg: float

    @property
    def clear(self) -> bool:
        """True where chance does not explain it."""
        return abs(self.step_deg) > 4.0 * self.u_deg


def slip_between_turns(turns: Sequence[Complexes], u_component_mm: float) -> Slip | None:
    """Return the greatest step of angle between neighbouring turns; None where no order tells.

    Parameters: z_1..z_H of each turn by itself, in order; standard uncertainty of a component of one turn.
    """
    if len(turns) < 2:
        return None
    highest = min(_ORDERS, *(len(z) for z in turns))
    n = np.arange(1, highest + 1)
    orders = np.array([z[:highest] for z in turns])
    mean = orders.mean(axis=0)
    slope = 1j * n * mean
    weight = float(np.sum(np.abs(slope) ** 2))
    if not weight > (6.0 * u_component_mm) ** 2:
        return None
    angle = np.array([float(np.sum((np.conj(slope) * (z - mean)).real)) / weight for z in orders])
    steps = np.diff(angle)
    u = math.sqrt(2.0) * u_component_mm / math.sqrt(weight)
    greatest = float(steps[int(np.argmax(np.abs(steps)))])
    return Slip(math.degrees(greatest), math.degrees(u))
