"""Runout as complex orders: built from a TIR and a high place, turned, added and asked for its extremes.

Order n is the complex amplitude z = a + i b of r(phi) = Re(z exp(-i n phi)), so an order's high place is
arg(z) / n. This is the bench's own arithmetic: nothing of ``analysis`` is used, so that what the analysis
finds can be held against it.
"""

import cmath
import math
from dataclasses import dataclass

GRID = 7200
"""Places round the turn from which the highest and the lowest are looked for."""
FLAT_MM = 1e-9
"""A curve that runs out less than this has no high place."""


@dataclass(frozen=True, slots=True)
class Orders:
    """A surface that runs out, order by order."""

    terms: tuple[tuple[int, complex], ...] = ()
    """Order and complex amplitude (mm) pairs, each order once, rising."""

    def __add__(self, other: "Orders") -> "Orders":
        """Return the two run on top of one another: as vectors, order by order."""
        total = dict(self.terms)
        for n, z in other.terms:
            total[n] = total.get(n, 0j) + z
        return Orders(tuple(sorted(total.items())))

    def __neg__(self) -> "Orders":
        """Return the same with every reading of the other sign."""
        return Orders(tuple((n, -z) for n, z in self.terms))

    def turned(self, deg: float) -> "Orders":
        """Return the same surface with its high places moved on by this angle, degrees."""
        return Orders(tuple((n, z * cmath.exp(1j * n * math.radians(deg))) for n, z in self.terms))

    def reading_mm(self, turns: float) -> float:
        """Return the reading (mm) at this angle, in turns from the mark."""
        angle = math.tau * (turns % 1.0)
        return sum(z.real * math.cos(n * angle) + z.imag * math.sin(n * angle) for n, z in self.terms)

    @property
    def tir_first_mm(self) -> float:
        """Twice the amplitude of order 1, mm."""
        return 2.0 * abs(dict(self.terms).get(1, 0j))

    @property
    def high_side_deg(self) -> float | None:
        """Direction of order 1, degrees from 0 to 360; None where there is none to speak of."""
        if self.tir_first_mm < FLAT_MM:
            return None
        return math.degrees(cmath.phase(dict(self.terms)[1])) % 360.0


@dataclass(frozen=True, slots=True)
class Extremes:
    """Where a curve is highest and lowest."""

    high_mm: float
    low_mm: float
    high_point_deg: float | None
    """0 to 360 degrees; None for a flat curve."""
    low_point_deg: float | None

    @property
    def tir_mm(self) -> float:
        """Highest less lowest reading, mm."""
        return self.high_mm - self.low_mm


def runout(tir_mm: float, high_deg: float, n: int = 1) -> Orders:
    """Return one order n that alone has this TIR (mm) and is high at this angle (degrees)."""
    return Orders(((n, tir_mm / 2.0 * cmath.exp(1j * n * math.radians(high_deg))),))


def extremes(orders: Orders) -> Extremes:
    """Return the highest and lowest place of the curve of all orders: a fine grid, then a parabola."""
    readings = [orders.reading_mm(k / GRID) for k in range(GRID)]
    high, high_at = _peak(readings, 1.0)
    low, low_at = _peak(readings, -1.0)
    flat = high - low < FLAT_MM
    return Extremes(high, low, None if flat else high_at, None if flat else low_at)


def _peak(readings: list[float], sign: float) -> tuple[float, float]:
    """Return the extreme reading and its angle (degrees), between grid places by a parabola of three."""
    k = max(range(GRID), key=lambda at: sign * readings[at])
    before, here, after = readings[k - 1], readings[k], readings[(k + 1) % GRID]
    bend = before - 2.0 * here + after
    if bend == 0.0:
        return here, k * 360.0 / GRID
    shift = 0.5 * (before - after) / bend
    return here - 0.25 * (before - after) * shift, (k + shift) * 360.0 / GRID % 360.0
