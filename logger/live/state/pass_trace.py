"""The newest pass round the part, bin by bin: what the strip and the round view draw.

A bin that is entered anew forgets what it held. Costs what the new readings cost, however long the sweep.
"""

import math

import numpy as np

from analysis.capture import Bools, Floats

BINS = 720
GAP_DEG = 9.0
"""Left blank ahead of the newest reading, so that this pass stands apart from the one before."""
BRIDGE_DEG = 20.0
"""Readings further apart are not joined by a line."""


class PassTrace:
    """Lowest and highest reading of each bin in the newest pass."""

    def __init__(self) -> None:
        self.clear()

    def clear(self) -> None:
        """Forget everything."""
        self.low: Floats = np.full(BINS, np.nan)
        self.high: Floats = np.full(BINS, np.nan)
        self.seen: Bools = np.zeros(BINS, bool)
        """Bins that were met since the last ``clear``."""
        self.head: int | None = None
        self.direction = 1

    def add(self, angle_rad: Floats, reading_mm: Floats) -> None:
        """Take readings in their order; those without an angle are left out."""
        known = np.isfinite(angle_rad)
        angle, reading = angle_rad[known], reading_mm[known]
        if not len(angle):
            return
        bins = np.floor(np.mod(angle, 2 * math.pi) * (BINS / (2 * math.pi))).astype(int) % BINS
        starts = np.concatenate([[0], np.flatnonzero(np.diff(bins)) + 1])
        low, high = np.minimum.reduceat(reading, starts), np.maximum.reduceat(reading, starts)
        runs = bins[starts]
        if self.head is not None and runs[0] == self.head:
            low[0] = min(low[0], self.low[self.head])
            high[0] = max(high[0], self.high[self.head])
        path = np.concatenate([[] if self.head is None else [self.head], runs]).astype(int)
        self._passed(path)
        self.low[runs], self.high[runs] = low, high
        self.seen[runs] = True
        self.head = int(runs[-1])

    def put(self, deg: float, reading_mm: float, half_deg: float = 3.0) -> None:
        """Draw one reading taken standing, as a short bar at its place."""
        at = math.floor(deg % 360.0 * BINS / 360.0)
        reach = round(half_deg * BINS / 360.0)
        bar = (at + np.arange(-reach, reach + 1)) % BINS
        self.low[bar] = self.high[bar] = reading_mm
        self.seen[bar] = True

    def _passed(self, path: "np.ndarray[tuple[int], np.dtype[np.int64]]") -> None:
        """Forget and count as seen what was stepped over between two readings close together."""
        steps = (np.diff(path) + BINS // 2) % BINS - BINS // 2
        if len(steps) and steps[steps != 0].size:
            self.direction = 1 if int(steps.sum()) >= 0 else -1
        reach = int(BRIDGE_DEG * BINS / 360)
        for at, step in zip(path[:-1].tolist(), steps.tolist(), strict=True):
            if 1 < abs(step) <= reach:
                between = (at + np.sign(step) * np.arange(1, abs(step))) % BINS
                self.low[between] = self.high[between] = np.nan
                self.seen[between] = True

    def drawn(self) -> tuple[Floats, Floats]:
        """Return low and high of every bin to draw: joined where close together, blank before the head."""
        low, high = _joined(self.low), _joined(self.high)
        if self.head is not None:
            ahead = (self.head + self.direction * np.arange(1, int(GAP_DEG * BINS / 360) + 1)) % BINS
            low[ahead] = high[ahead] = np.nan
        return low, high

    def missing(self, reach_deg: float = 6.0) -> list[tuple[float, float]]:
        """Return the stretches not yet seen, as (from, to) in degrees; within reach of a reading is seen."""
        if not self.seen.any():
            return [(0.0, 360.0)]
        met = np.flatnonzero(self.seen)
        ends = np.append(met[1:], met[0] + BINS)
        per = 360.0 / BINS
        wide = (ends - met) * per > 2.0 * reach_deg
        return [
            ((start + 1) * per % 360.0, end * per % 360.0 or 360.0)
            for start, end in zip(met[wide].tolist(), ends[wide].tolist(), strict=True)
        ]


def _joined(values: Floats) -> Floats:
    """Fill short blanks by straight lines, round the circle."""
    known = np.flatnonzero(np.isfinite(values))
    if len(known) < 2:
        return values.copy()
    around = np.concatenate([known, [known[0] + BINS]])
    there = np.concatenate([values[known], [values[known[0]]]])
    x = np.arange(known[0], known[0] + BINS)
    filled = np.interp(x, around, there)
    gaps = np.repeat(np.diff(around), np.diff(around))
    filled[gaps > BRIDGE_DEG * BINS / 360] = np.nan
    filled[known - known[0]] = values[known]
    return np.roll(filled, known[0])
