"""The way of one stretch of a sweep as it is travelled: what is kept of it beside its full turns."""

import math

import numpy as np

from analysis.capture import Floats, Samples
from analysis.diagnosis import GoneBack

MOST_POINTS = 100_000
"""Of a longer way every second point is kept, then every fourth and so on."""
_LEFT_RAD = math.radians(1.0)
"""Turned on by so much, the part is on its way."""


class TravelledPath:
    """Times and angles, evenly thinned where they are many."""

    def __init__(self, most: int = MOST_POINTS) -> None:
        self._most, self._every, self._seen = most, 1, 0
        self._blocks: list[tuple[Floats, Floats]] = []
        self._newest: tuple[Floats, Floats] = (np.empty(0), np.empty(0))

    def take(self, t_s: Floats, angle_rad: Floats) -> None:
        """Take the next points."""
        thinned = slice(-self._seen % self._every, None, self._every)
        self._seen += len(t_s)
        self._blocks.append((t_s[thinned].copy(), angle_rad[thinned].copy()))
        self._newest = (t_s[-1:].copy(), angle_rad[-1:].copy())
        while sum(len(t_s) for t_s, _ in self._blocks) > self._most:
            self._every *= 2
            t_s, angle_rad = self._joined()
            self._blocks = [(t_s[::2].copy(), angle_rad[::2].copy())]

    def columns(self) -> tuple[Floats, Floats]:
        """Return times (s) and angles (rad), shape (n,), the newest point among them."""
        t_s, angle_rad = self._joined()
        if self._seen and (self._seen - 1) % self._every:
            return np.append(t_s, self._newest[0]), np.append(angle_rad, self._newest[1])
        return t_s, angle_rad

    def _joined(self) -> tuple[Floats, Floats]:
        if len(self._blocks) == 1:
            return self._blocks[0]
        columns = [[block[at] for block in self._blocks] for at in (0, 1)]
        t_s, angle_rad = (np.concatenate([np.empty(0), *column]) for column in columns)
        return t_s, angle_rad


class TravelledSegment:
    """One stretch between restarts and breaks, fed with its samples in order."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.has_turns = False
        """Whether a full turn that counts lies in it."""
        self.path = TravelledPath()
        self.left_s: float | None = None
        """When the part had turned away from where it stood at first; None where it never did."""
        self._gone_back = {direction: GoneBack(direction) for direction in (1, -1)}
        self._first_rad: float | None = None
        self._first_s = 0.0

    def take(self, block: Samples) -> None:
        """Take the next samples."""
        self.path.take(block.t_s, block.angle_rad)
        if self._first_rad is None:
            self._first_rad, self._first_s = float(block.angle_rad[0]), float(block.t_s[0])
        if self.left_s is None:
            left = np.abs(block.angle_rad - self._first_rad) > _LEFT_RAD
            if left.any():
                self.left_s = float(block.t_s[int(np.argmax(left))])
        counted = block.new & ~block.out_of_range
        here = slice(None) if counted.all() else counted
        for one in self._gone_back.values():
            one.take(block.t_s[here], block.angle_rad[here], block.reading_mm[here])

    @property
    def under_way_s(self) -> float:
        """When the part was on its way, the first sample's time where it never was."""
        return self._first_s if self.left_s is None else self.left_s

    def gone_back(self, direction: int) -> GoneBack:
        """Return where the hand went back, the turns going in this direction."""
        return self._gone_back[direction]
