"""Which turns of a long sweep keep their readings: evenly taken ones, and those where something stands out.

What is on the part is on every turn, so that a bounded number of turns tells it; what happens once, such as
a knock or a gauge that sticks, may be on any turn. So every turn is looked at as it goes by, and kept where
its readings are off what the turns kept show at the same place. Knows nothing of what it may have been.
"""

import math
from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats, Samples
from analysis.diagnosis import repeats_beyond_chance
from analysis.numerics import robust_sd

Ints = NDArray[np.int64]

KEPT_WHOLE = 20_000
"""A sweep of no more readings keeps them all."""
MOST_KEPT = 12_000
"""Of a longer one at most so many of the turns taken evenly, and as many again of those that stand out."""
_BINS = 720
_STANDS_OUT = 6.0
"""In standard deviations, beside what the turns kept show at that place (as ``local_features`` asks)."""
_NOISY = 0.5
_MORE_TELL = 1.3


@dataclass(frozen=True)
class _Expected:
    """What the turns kept show in each bin of half a degree."""

    level_mm: Floats
    furthest_mm: Floats
    """How far their readings lie off it, there and in the bins beside."""
    scatter_mm: float

    at_counts: tuple[Floats, Floats] | None
    """Level and furthest at every count of the encoder; None without one."""

    def excess(self, turn: Samples, step_mm: float, count: Ints | None) -> float:
        """Return by how many times a turn is further off than anything kept and the noise together.

        ``count``: of the encoder, of each reading; None where they are not whole.
        """
        if count is None or self.at_counts is None:
            level, furthest = _between(self.level_mm, turn.angle_rad), self.furthest_mm[_bin(turn.angle_rad)]
        else:
            level, furthest = (column[count] for column in self.at_counts)
        off = turn.reading_mm - level
        # As numpy's median, by sorting: ten times as fast with some thousand readings.
        in_order = np.sort(off)
        off = np.abs(off - (in_order[(len(off) - 1) // 2] + in_order[len(off) // 2]) / 2.0)
        least = max(_STANDS_OUT * self.scatter_mm, 4.0 * step_mm, 1e-7)
        return float(np.max(off / (least + furthest)))


class KeptTurns:
    """Takes the turns of one sweep in order, and holds some of them; of an encoder of ``counts`` a turn."""

    def __init__(
        self, step_mm: float, counts: int = 0, *, whole: int = KEPT_WHOLE, most: int = MOST_KEPT
    ) -> None:
        self._counts = counts
        self._step_mm, self._most, self._most_now = step_mm, most, whole
        self._every = 1
        self._even: dict[int, Samples] = {}
        self._standing_out: dict[int, tuple[float, Samples]] = {}
        self._expected: _Expected | None = None
        self._told_by = 0

    def offer(self, number: int, turn: Samples, count: Ints | None = None) -> None:
        """Take the next turn's readings that count; ``count`` of the encoder, of each, where it is whole."""
        if number % self._every:
            self._look_at(number, turn, count)
            return
        self._even[number] = turn.copied()
        while len(self._even) > 1 and sum(map(len, self._even.values())) > self._most_now:
            self._most_now = self._most
            self._every *= 2
            gone = [k for k in self._even if k % self._every]
            passed = [(k, self._even.pop(k)) for k in gone]
            for k, one in passed:
                self._look_at(k, one)

    @property
    def turns(self) -> dict[int, Samples]:
        """The turns held, by number, in order."""
        held = self._even | {k: turn for k, (_, turn) in self._standing_out.items()}
        return {k: held[k] for k in sorted(held)}

    def renumbered(self, numbers: Mapping[int, int]) -> "KeptTurns":
        """Return the same turns under new numbers, for reading: no more are to be offered."""
        other = copy(self)
        other._even = {numbers[k]: turn for k, turn in self._even.items()}
        other._standing_out = {numbers[k]: one for k, one in self._standing_out.items()}
        return other

    def _look_at(self, number: int, turn: Samples, count: Ints | None = None) -> None:
        """Keep a turn that stands out, in place of the one that does so least where there are too many."""
        # A few turns more tell little more of what is on each of them.
        if self._expected is None or not self._told_by <= len(self._even) < _MORE_TELL * self._told_by:
            self._expected, self._told_by = self._of_even(), len(self._even)
        expected = self._expected
        excess = expected.excess(turn, self._step_mm, count)
        noisy = expected.scatter_mm >= _NOISY * self._step_mm
        if noisy and excess <= 1.0 and repeats_beyond_chance(turn.reading_mm, self._step_mm):
            excess = math.inf  # a gauge that sticks may be off by nothing at all
        if excess <= 1.0:
            return
        self._standing_out[number] = (excess, turn.copied())
        while (
            len(self._standing_out) > 1
            and sum(len(one) for _, one in self._standing_out.values()) > self._most
        ):
            del self._standing_out[min(self._standing_out, key=lambda k: self._standing_out[k][0])]

    def _of_even(self) -> _Expected:
        levels = np.full((len(self._even), _BINS), math.nan)
        turns = list(self._even.values())
        for row, turn in zip(levels, turns, strict=True):
            at = _bin(turn.angle_rad)
            number = np.bincount(at, minlength=_BINS)
            total = np.bincount(at, turn.reading_mm - np.median(turn.reading_mm), _BINS)
            here = number > 0
            places = np.flatnonzero(here)
            row[:] = np.interp(np.arange(_BINS), places, total[here] / number[here], period=_BINS)
        # Turns are brought to one height by their middle, which no narrow feature carries away.
        levels -= np.median(levels - np.median(levels, axis=0), axis=1)[:, None]
        level = np.median(levels, axis=0)
        furthest, all_off = np.zeros(_BINS), []
        for turn in turns:
            off = turn.reading_mm - _between(level, turn.angle_rad)
            off -= np.median(off)
            all_off.append(off)
            np.maximum.at(furthest, _bin(turn.angle_rad), np.abs(off))
        scatter = robust_sd(np.concatenate(all_off))
        furthest = np.maximum(furthest, np.maximum(np.roll(furthest, 1), np.roll(furthest, -1)))
        # What noise alone makes of the furthest reading is in the threshold already; of an edge, a turn's
        # readings stand anywhere between the two sides.
        edge = np.abs(level - np.roll(level, 1))
        furthest = np.maximum(furthest - _STANDS_OUT * scatter, np.maximum(edge, np.roll(edge, -1)))
        around: Floats = np.arange(self._counts, dtype=np.float64) * (2.0 * math.pi / max(self._counts, 1))
        at_counts = (_between(level, around), furthest[_bin(around)]) if self._counts else None
        return _Expected(level, furthest, scatter, at_counts)


def _bin(angle_rad: Floats) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    around = np.mod(angle_rad, 2.0 * math.pi) * (_BINS / (2.0 * math.pi))
    return np.minimum(around.astype(np.int64), _BINS - 1)


def _between(level_mm: Floats, angle_rad: Floats) -> Floats:
    """Return the level at these angles, by straight lines between the middles of the bins."""
    around = np.mod(angle_rad, 2.0 * math.pi) * (_BINS / (2.0 * math.pi)) - 0.5
    low = np.floor(around)
    share = around - low
    at = low.astype(np.int64) % _BINS
    return np.asarray(level_mm[at] * (1.0 - share) + level_mm[(at + 1) % _BINS] * share)
