"""A second indicator at the same part, and what the shaft does along its axis, which every tip sees.

Knows nothing of time: it is asked at an angle.
"""

import math
from dataclasses import dataclass, field

from logger.practice.bench.gauge import GaugeKind
from logger.practice.bench.orders import Orders
from logger.practice.bench.plant import Plant


@dataclass(frozen=True)
class AxialMotion:
    """Motion of the shaft along its axis while it turns, toward the first tip."""

    orders: Orders = field(default_factory=Orders)
    """What comes back every turn, against the axis's own mark."""
    ball_pass_mm: float = 0.0
    """Amplitude of what does not repeat turn by turn."""
    ball_pass_per_turn: float = 0.41

    def reading_mm(self, turns: float) -> float:
        """Return how far the shaft has come toward the first tip at this unwrapped angle, in turns."""
        odd_one = self.ball_pass_mm * math.cos(math.tau * self.ball_pass_per_turn * turns)
        return self.orders.reading_mm(turns) + odd_one


@dataclass(frozen=True)
class SecondTip:
    """Another indicator, read at the same moments as the first; the board calls it channel 1."""

    plant: Plant
    """What it rides on."""
    apart_deg: float = 0.0
    """It reads the place of the part this much further on."""
    along: int = 1
    """+1 on the same side as the first tip, -1 on the other side of a disc: the walk goes away from it."""
    gauge: GaugeKind = field(default_factory=GaugeKind)

    def reading_mm(self, turns: float, axial_mm: float) -> float:
        """Return what a perfect gauge reads, the shaft having come so far toward the first tip (mm)."""
        return self.plant.reading_mm(turns + self.apart_deg / 360.0) + self.along * axial_mm
