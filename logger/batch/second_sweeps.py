"""Parts of a batch that were taken off, put on again and measured again: what the second sweep differs by."""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.units import format_length
from logger.batch.sweep_of_part import MeasuredPart


@dataclass(frozen=True, slots=True)
class Repeat:
    """One part, measured after each of two mountings."""

    first: MeasuredPart
    second: MeasuredPart

    @property
    def serial(self) -> str:
        """Its serial."""
        return self.first.serial

    @property
    def change_mm(self) -> complex | None:
        """Order 1 of the second less that of the first, mm; None where one counts from no mark."""
        if self.first.first_mm is None or self.second.first_mm is None:
            return None
        return self.second.first_mm - self.first.first_mm

    @property
    def change_tir_mm(self) -> float | None:
        """TIR of that difference, mm."""
        return None if self.change_mm is None else 2.0 * abs(self.change_mm)

    @property
    def change_deg(self) -> float | None:
        """Where that difference is high, degrees past the mark."""
        return None if self.change_mm is None else math.degrees(cmath.phase(self.change_mm)) % 360.0

    def words(self, unit: str) -> str:
        """Say it."""
        tir = " then ".join(format_length(one.tir_mm, unit) for one in (self.first, self.second))
        if self.change_tir_mm is None:
            return f"{self.serial} put on again: TIR {tir}; no mark, so sides are not compared"
        moved = f"{format_length(self.change_tir_mm, unit)} TIR towards {self.change_deg:.0f} deg"
        return f"{self.serial} put on again: TIR {tir}; order 1 differs by {moved}"


def repeats(sweeps: Sequence[MeasuredPart]) -> dict[str, Repeat]:
    """Return the newest pair of each part that was measured a second time, by serial."""
    found: dict[str, Repeat] = {}
    first: dict[str, MeasuredPart] = {}
    for one in sweeps:
        if one.of_batch and one.counts:
            first[one.serial] = one
        elif one.is_second and one.counts and one.serial in first:
            found[one.serial] = Repeat(first[one.serial], one)
    return found


def scatter_mm(pairs: Sequence[Repeat]) -> float | None:
    """Return the standard deviation of one component of order 1 from mounting to mounting, mm.

    Pooled over both components of every pair, with twice as many degrees of freedom as pairs: the variance
    of a difference is twice that of one (common practice, no source). None without a pair.
    """
    changes = [one.change_mm for one in pairs if one.change_mm is not None]
    return math.sqrt(sum(abs(z) ** 2 for z in changes) / (4.0 * len(changes))) if changes else None
