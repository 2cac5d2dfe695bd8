"""The indicator: late, tilted, with play, noise, stops and steps, and two buttons somebody may press.

Gives one whole number of its own steps at every update of its own. Knows nothing of angles but the times
at which its mishaps begin.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from logger.practice.bench.course import Course

GAUGE_DELAY = "0 +- 10 ms"
"""What set-ups declare: a value is read as it comes, or at a fixed rate within its next tick."""


@dataclass(frozen=True)
class GaugeKind:
    """An indicator and how it is set up."""

    resolution_mm: float = 0.001
    period_us: int = 20_000
    """Time between new values."""
    lag_us: int = 0
    """Age of what a new value shows."""
    play_mm: float = 0.0
    """Lost motion between going in and coming out, whole width."""
    lever_deg: float = 0.0
    """Angle off the right one: it over-reads by 1 / cos."""
    noise_mm: float = 0.0008
    """Standard deviation of one value."""
    low_mm: float = 0.0
    high_mm: float = 12.7
    """Stops of the plunger, where nothing is noisy any more."""
    preset_mm: float = 1.25
    """How far the plunger is pushed in where the surface reads zero."""
    stuck_at: float | None = None
    """When the plunger sticks, turns done."""
    stuck_turns: float = 0.3
    """For how long, turns done."""
    zero_at: float | None = None
    """When somebody presses its zero button, turns done."""
    inch_at: float | None = None
    """When somebody presses its in/mm button, turns done."""

    @property
    def scale_nm(self) -> int:
        """Nanometres a step."""
        return round(self.resolution_mm * 1e6)


class Gauge:
    """An indicator at work on one course."""

    def __init__(self, kind: GaugeKind, seed: str, course: Course) -> None:
        self.kind = kind
        self._random = Random(f"{seed}:gauge")
        self._over = 1.0 / math.cos(math.radians(kind.lever_deg))
        self._played: float | None = None
        self._zero_mm = 0.0
        self._last = 0

        def when(done: float | None) -> int | None:
            return None if done is None else course.time_of(done)

        self._zero_us = when(kind.zero_at)
        self._inch_us = when(kind.inch_at)
        self._stuck_us = (0, 0)
        if kind.stuck_at is not None:
            self._stuck_us = course.time_of(kind.stuck_at), course.time_of(kind.stuck_at + kind.stuck_turns)

    def update(self, t_us: int, surface_mm: Callable[[int], float]) -> int:
        """Return the new value at this time, in steps; ``surface_mm`` is asked at the time it is late by."""
        kind = self.kind
        noise_mm = self._random.gauss(0.0, kind.noise_mm)  # drawn always: a mishap shifts no later draw
        pushed = surface_mm(t_us - kind.lag_us) * self._over
        if self._played is None:
            self._played = pushed
        self._played = min(max(self._played, pushed - kind.play_mm / 2), pushed + kind.play_mm / 2)
        place = kind.preset_mm + self._played
        if place <= kind.low_mm or place >= kind.high_mm:
            shown = min(max(place, kind.low_mm), kind.high_mm)
        else:
            shown = min(max(place + noise_mm, kind.low_mm), kind.high_mm)
        if self._zero_us is not None and t_us >= self._zero_us:
            self._zero_mm, self._zero_us = shown, None
        shown -= self._zero_mm
        if self._inch_us is not None and t_us >= self._inch_us:
            shown /= 25.4
        if not self._stuck_us[0] <= t_us < self._stuck_us[1]:
            self._last = math.floor(shown / kind.resolution_mm + 0.5)
        return self._last
