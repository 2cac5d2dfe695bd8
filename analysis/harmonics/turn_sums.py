"""One turn reduced to sums over its readings, from which every fit of whole orders can be made.

The sums of cos m phi and sin m phi are the whole gram matrix of orders up to m / 2, since products of cosines
and sines are cosines of sums and differences. Of readings at whole counts of an encoder they are the Fourier
transform of the number of readings at each count. Knows no part, limit or check.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics.design import harmonic_rows

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

_MOST_COUNTS = 16_384
"""Of an encoder with more counts the readings themselves are fewer than its places."""


@dataclass(frozen=True)
class ReferenceCurve:
    """A curve near the readings, taken off before they are summed so that squares keep their digits."""

    coefficients_mm: Floats
    """Constant, a1, b1, a2, ..., shape (1 + 2 H,)."""

    @property
    def highest_order(self) -> int:
        """H."""
        return len(self.coefficients_mm) // 2

    def at(self, angle_rad: Floats) -> Floats:
        """Return the curve at these angles, mm."""
        return np.asarray(self.coefficients_mm @ harmonic_rows(angle_rad, self.highest_order))


@dataclass(frozen=True)
class TurnSums:
    """Sums over the readings of one turn; m counts orders, t is less the turn's mean time.

    y is the reading less the reference curve; e_m = cos m phi + i sin m phi.
    """

    number: int
    """Readings."""
    places: Complexes
    """Sum of e_m for m = 0, 1, ..., at least twice the highest order."""
    heights_mm: Complexes
    """Sum of y e_m, shape (H + 1,) or more."""
    times_s: Complexes
    """Sum of t e_m, as many."""
    square_mm2: float
    """Sum of y^2."""
    mean_s: float
    """Mean time of the turn."""
    square_s2: float
    """Sum of t^2."""
    product_mm_s: float
    """Sum of t y."""


@dataclass(frozen=True)
class SumsAtCounts:
    """The readings of one turn summed at each count of the encoder; arrays have shape (counts,)."""

    number: NDArray[np.int64]
    heights_mm: Floats
    """Readings less the reference curve."""
    times_s: Floats
    """Times less the turn's mean."""
    mean_s: float
    level_mm: Floats
    """The reference curve itself."""


@dataclass(frozen=True)
class ReducedTurn:
    """One turn without its readings."""

    sums: TurnSums
    at_counts: SumsAtCounts | None
    """None where readings do not all stand at whole counts."""


def reduce_turn(
    angle_rad: Floats,
    reading_mm: Floats,
    t_s: Floats,
    reference: ReferenceCurve,
    *,
    highest_order: int,
    highest_of_counts: int = 0,
    counts: int = 0,
    count: NDArray[np.int64] | None = None,
) -> ReducedTurn:
    """Reduce the readings of one turn.

    Parameters: unwrapped angles (rad), readings (mm) and times (s), shape (n,); the reference; the highest
    order that is to be fitted from the sums, and, where all readings stand at whole counts of the encoder
    (``count``, of ``counts`` a turn), the highest that costs no more there. The order of the readings is the
    only thing that moves a bit.
    """
    mean_s = float(t_s.mean())
    time = t_s - mean_s
    at_counts = None
    if count is None:
        y = reading_mm - reference.at(angle_rad)
        rows = harmonic_rows(angle_rad, 2 * highest_order)
        low = rows[: 1 + 2 * highest_order]
        places, heights, times = _paired(rows.sum(axis=1)), _paired(low @ y), _paired(low @ time)
    else:
        level = _at_counts(reference.coefficients_mm.tobytes(), counts)
        y = reading_mm - level[count]
        at_counts = SumsAtCounts(
            np.bincount(count, minlength=counts),
            np.bincount(count, y, counts).astype(np.float64),
            np.bincount(count, time, counts).astype(np.float64),
            mean_s,
            level,
        )
        top = max(highest_order, min(highest_of_counts, counts // 4))
        places = _transformed(at_counts.number, 2 * top + 1)
        heights = _transformed(at_counts.heights_mm, top + 1)
        times = _transformed(at_counts.times_s, top + 1)
    sums = TurnSums(
        len(y), places, heights, times, float(y @ y), mean_s, float(time @ time), float(time @ y)
    )  # fmt: skip
    return ReducedTurn(sums, at_counts)


def whole_number_of_counts(counts_per_turn: float) -> int:
    """Return the counts a turn where they are whole and few enough to be summed at; 0 where not."""
    whole = 1 <= counts_per_turn <= _MOST_COUNTS and counts_per_turn == round(counts_per_turn)
    return round(counts_per_turn) if whole else 0


def whole_counts(angle_rad: Floats, counts: int) -> NDArray[np.int64] | None:
    """Return the encoder count of each reading, or None where the angles do not lie on whole counts."""
    if not counts:
        return None
    exact = angle_rad * (counts / (2 * math.pi))
    count = np.rint(exact)
    if not len(exact) or float(np.abs(exact - count).max()) > 1e-6:
        return None
    return np.mod(count.astype(np.int64), counts)


def _paired(sums: Floats) -> Complexes:
    """Return sums over rows 1, cos, sin, cos 2, ... as one complex number an order."""
    return np.asarray(np.concatenate([sums[:1], sums[1::2] + 1j * sums[2::2]]))


def _transformed(at_counts: NDArray[np.float64 | np.int64], orders: int) -> Complexes:
    """Return the sum of each count's number times e_m for m below ``orders``."""
    return np.asarray(np.fft.rfft(at_counts)[:orders].conj())


@lru_cache(maxsize=8)
def _at_counts(coefficients: bytes, counts: int) -> Floats:
    """Return a reference curve at every count of the encoder."""
    angle: Floats = np.arange(counts, dtype=np.float64) * (2 * math.pi / counts)
    return ReferenceCurve(np.frombuffer(coefficients)).at(angle)
