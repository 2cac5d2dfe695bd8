"""What kind of gauge this was, told from its own readings: its step, its update rate, its held share.

Knows nothing of turns or limits.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats, Samples
from analysis.harmonics import FILLED_DEG

Ints = NDArray[np.int64]

USUAL_TURNS = 3
"""So many are turned where nobody planned another number."""
_VALUES_TOGETHER = 80
_PLACES = 39
"""Values and places of all turns together that carry fifteen orders (``highest_order_together``)."""
FILLED_IN_TURNS = 6
_ROUNDING_MM = 1e-10
_AT_ONCE = 1 << 18
_NS_A_S = 1e9
_MOST_DIFFERENT = 1 << 17


@dataclass(frozen=True)
class GaugeFacts:
    """The gauge as its readings show it."""

    rate_hz: float
    """New values a second."""
    resolution_mm: float
    """Smallest step between two different readings; 0 where none can be told."""
    held_fraction: float
    """Share of the samples that only repeat an old value."""
    max_rpm: float
    """Fastest turning at which the turns planned still carry fifteen orders, and at every slower speed; not a
    statement about danger."""
    lag_s: float | None = None
    """Delay of the gauge; None until two speeds or two directions have told it."""


def smallest_step_mm(reading_mm: Floats, stated_mm: float = 0.0) -> float:
    """Return the step of the readings: the smallest difference of which all differences are multiples.

    ``stated_mm`` is the step the device states; a coarser one is believed only when every reading obeys it.
    """
    different = DifferentReadings(stated_mm)
    different.take(reading_mm)
    return different.step_mm()


class DifferentReadings:
    """Which readings there are, taken in pieces of any size; where the step is known they take little.

    ``stated_mm``: the step that the device states; 0 where it states none.
    """

    def __init__(self, stated_mm: float) -> None:
        self._stated_mm = stated_mm
        self._steps: Ints | None = np.empty(0, np.int64) if stated_mm > 0.0 else None
        """Different readings in steps of the gauge; None where they are no multiples of it."""
        self._rounded: Floats = np.empty(0)

    def take(self, reading_mm: Floats) -> None:
        """Take the next readings, mm."""
        for start in range(0, len(reading_mm), _AT_ONCE):
            some = reading_mm[start : start + _AT_ONCE]
            if self._steps is not None:
                steps = np.rint(some / self._stated_mm)
                if np.abs(some - steps * self._stated_mm).max() <= _ROUNDING_MM:
                    self._steps = np.union1d(self._steps, _different(steps.astype(np.int64)))
                    continue
                self._rounded, self._steps = self._values(), None
            self._rounded = np.union1d(self._rounded, np.round(some, 9))

    def step_mm(self) -> float:
        """Return the step of them all."""
        values, stated_mm = self._values(), self._stated_mm
        if len(values) < 2:
            return stated_mm
        gaps = np.diff(values)
        step = float(gaps[gaps > 1e-8].min()) if (gaps > 1e-8).any() else 0.0
        if step <= stated_mm * 1.001 or step == 0.0:
            return stated_mm
        ratio = gaps / step
        obeyed = bool(np.all(np.abs(ratio - np.round(ratio)) < 0.02))
        return step if obeyed and len(values) > 3 else stated_mm

    def _values(self) -> Floats:
        return self._rounded if self._steps is None else np.round(self._steps * self._stated_mm, 9)


def _different(numbers: Ints) -> Ints:
    """Return the different numbers, rising; those that lie close together need no sorting."""
    lowest = numbers.min()
    if numbers.max() - lowest > _AT_ONCE:
        return np.unique(numbers)
    return np.asarray(np.flatnonzero(np.bincount(numbers - lowest)) + lowest)


def wanted_values_per_turn(turns_planned: int | None) -> float:
    """Return how many new values each turn needs for the turns planned to carry fifteen orders together.

    A gauge in step with the turning sees its places of one turn on every turn: at so many values a turn, or
    more, there are enough of them even then.
    """
    return max(_VALUES_TOGETHER / (turns_planned or USUAL_TURNS), float(_PLACES))


def fastest_rpm(rate_hz: float, turns_planned: int | None) -> float:
    """Return the fastest turning, rpm, that a gauge of so many new values a second can follow."""
    return 60.0 * rate_hz / wanted_values_per_turn(turns_planned)


class GaugeCount:
    """Rate, step and held share of the gauge over samples that are taken in blocks of any size.

    ``stated_mm``: the step that the device states; 0 where it states none.
    """

    def __init__(self, stated_mm: float) -> None:
        self.samples = self.new = 0
        """How many there were, and how many of them with a new value."""
        self._different = DifferentReadings(stated_mm)
        self._gaps = _Histogram()
        self._newest_s: Floats = np.empty(0)
        """Time of the newest sample that counts, shape (0,) or (1,)."""

    def take(self, block: Samples) -> None:
        """Take the next samples."""
        self.samples += len(block)
        self.new += int(np.count_nonzero(block.new))
        counted = block.new & ~block.out_of_range
        t_s, reading_mm = (
            (block.t_s, block.reading_mm)
            if counted.all()
            else (block.t_s[counted], block.reading_mm[counted])
        )
        if len(t_s):
            gaps = np.diff(t_s, prepend=self._newest_s) * _NS_A_S
            self._gaps.take(np.rint(gaps[gaps > 0.0]).astype(np.int64))
            self._newest_s = t_s[-1:].copy()
            self._different.take(reading_mm)

    def step_mm(self) -> float:
        """Return the step of the readings."""
        return self._different.step_mm()

    def gauge_facts(self, turns_planned: int | None = None) -> GaugeFacts:
        """Return what they say of the gauge, and how fast it can follow."""
        gap_ns = self._gaps.median()
        rate = _NS_A_S / gap_ns if gap_ns else 0.0
        return GaugeFacts(
            rate_hz=rate,
            resolution_mm=self.step_mm(),
            held_fraction=1.0 - self.new / self.samples if self.samples else 0.0,
            max_rpm=fastest_rpm(rate, turns_planned),
        )


class _Histogram:
    """How often each whole number came; beyond so many different ones, numbers a little off count as one."""

    def __init__(self) -> None:
        self._values: Ints = np.empty(0, np.int64)
        self._times: Ints = np.empty(0, np.int64)
        self._coarse = 1

    def take(self, numbers: Ints) -> None:
        if not len(numbers):
            return
        rounded = numbers // self._coarse * self._coarse if self._coarse > 1 else numbers
        different = _different(rounded)
        times = np.bincount(np.searchsorted(different, rounded), minlength=len(different))
        self._merge(different, times)
        while len(self._values) > _MOST_DIFFERENT:
            self._coarse *= 2
            self._merge(np.empty(0, np.int64), np.empty(0, np.int64))

    def median(self) -> float:
        """Return the median, 0 of nothing."""
        if not len(self._values):
            return 0.0
        upto = np.cumsum(self._times)
        middle = [(upto[-1] - 1) // 2, upto[-1] // 2]
        return float(np.mean(self._values[np.searchsorted(upto, middle, side="right")]))

    def _merge(self, values: Ints, times: Ints) -> None:
        both = np.concatenate([self._values, values]) // self._coarse * self._coarse
        self._values, at = np.unique(both, return_inverse=True)
        of_each = np.concatenate([self._times, times])
        self._times = np.bincount(at, of_each, len(self._values)).astype(np.int64)


@dataclass(frozen=True)
class Beat:
    """A gauge that keeps step with the turning and sees the same few places for ever."""

    places: int
    slower_rpm: int
    """Nearest slower whole speed at which six turns fill the turn."""
    faster_rpm: int


def beat_with_turning(rate_hz: float, rpm: float) -> Beat | None:
    """Return the beat of a gauge with the turning, None where six turns fill the turn to 12 degrees."""
    if rate_hz <= 0 or rpm <= 0 or _widest_gap_deg(rate_hz, rpm) <= FILLED_DEG:
        return None
    per_turn = 60.0 * rate_hz / rpm
    places = round(per_turn)
    if places < 1 or abs(per_turn - places) > 0.02 * per_turn:
        return None
    return Beat(places, _filling_rpm(rate_hz, rpm, -1), _filling_rpm(rate_hz, rpm, 1))


def _filling_rpm(rate_hz: float, rpm: float, direction: int) -> int:
    start = math.floor(rpm) if direction > 0 else math.ceil(rpm)
    for step in range(1, 61):
        tried = start + direction * step
        if tried < 1:
            break
        if _widest_gap_deg(rate_hz, tried) <= FILLED_DEG:
            return tried
    return max(1, round(fastest_rpm(rate_hz, None)))


def _widest_gap_deg(rate_hz: float, rpm: float) -> float:
    """Return the widest gap between the places that six turns of readings stand at."""
    step = 360.0 * rpm / (60.0 * rate_hz)
    around = np.sort(np.mod(np.arange(math.ceil(FILLED_IN_TURNS * 360.0 / step)) * step, 360.0))
    return float(np.max(np.diff(around, append=around[0] + 360.0)))
