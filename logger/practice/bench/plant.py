"""What the tip rides on: a part with its owners of runout, in its own bearings or on a lathe.

Angles are from the mark the bench stands at when its count is 0: the part's own in its bearings, the
arbor's on the lathe. Knows nothing of time, gauge or encoder.
"""

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

from logger.practice.bench.orders import Extremes, Orders, extremes


@dataclass(frozen=True, slots=True)
class Bump:
    """A narrow raised place on the part: a nick's lip, a ridge, a burr."""

    deg: float
    """Angle of its middle on the part (or on the arbor), degrees."""
    width_deg: float
    """Width at its foot, degrees."""
    height_mm: float

    def reading_mm(self, part_turns: float) -> float:
        """Return what it adds at this angle on the part, in turns: half a cosine wave over its width."""
        away = (part_turns * 360.0 - self.deg + 180.0) % 360.0 - 180.0
        if abs(away) >= self.width_deg / 2.0:
            return 0.0
        return self.height_mm * 0.5 * (1.0 + math.cos(math.tau * away / self.width_deg))


@dataclass(frozen=True)
class Plant:
    """A part and what it sits on, each owner with its own orders."""

    part: Orders = field(default_factory=Orders)
    """P: the surface against the part's own bearing axis, in part angle."""
    seat: Orders = field(default_factory=Orders)
    """L: the surface the part is located on against its bearing axis, in part angle."""
    spindle: Orders = field(default_factory=Orders)
    """S: spindle, arbor and cones, in arbor angle."""
    dirt: Orders = field(default_factory=Orders)
    """D: what lies in this mounting only, in arbor angle."""
    on_lathe: bool = False
    """False: in its own bearings, where seat, spindle and dirt have no say."""
    index_deg: float = 0.0
    """Alpha: where the part's mark sits on the arbor, degrees; 0 in its own bearings."""
    ball_pass_mm: float = 0.0
    """B: amplitude of the bearing's own motion, which does not repeat turn by turn."""
    ball_pass_per_turn: float = 0.41
    bumps: tuple[Bump, ...] = ()
    arbor_bumps: tuple[Bump, ...] = ()
    """Narrow places that stay with spindle and arbor when the part is re-indexed: a chip under the cone."""
    cut_to_mm: float | None = None
    """Level that a pass has cut everything above down to, as the lathe reads it; None: nothing is cut."""

    @cached_property
    def orders(self) -> Orders:
        """What a sweep reads apart from bumps and bearing motion: P, or Q turned by alpha, plus S and D."""
        if not self.on_lathe:
            return self.part
        return (self.part + self.seat).turned(self.index_deg) + self.spindle + self.dirt

    @property
    def mount(self) -> Orders:
        """The mount vector in part angle: what the lathe reads less what the part's own bearings read."""
        return self.orders.turned(-self.index_deg) + -self.part

    @property
    def extremes(self) -> Extremes:
        """Highest and lowest place of what a sweep reads, bumps and bearing motion apart."""
        curve = extremes(self.orders)
        level = self.cut_to_mm
        if level is None or level >= curve.high_mm:
            return curve
        # The cut is level all along: it has no one place that is highest.
        return Extremes(level, curve.low_mm, None, curve.low_point_deg)

    def cut(self) -> "Plant":
        """Return the plant after a perfect cut where it now stands: the lathe reads nothing any more."""
        return replace(self, part=self.part + -self.orders.turned(-self.index_deg))

    def reading_mm(self, turns: float) -> float:
        """Return what a perfect gauge reads at this unwrapped angle, in turns (mm, high = positive)."""
        reading = self.orders.reading_mm(turns)
        if self.cut_to_mm is not None:
            reading = min(reading, self.cut_to_mm)
        if self.ball_pass_mm:
            reading += self.ball_pass_mm * math.cos(math.tau * self.ball_pass_per_turn * turns)
        for bump in self.bumps:
            reading += bump.reading_mm(turns - self.index_deg / 360.0)
        for bump in self.arbor_bumps:
            reading += bump.reading_mm(turns)
        return reading
