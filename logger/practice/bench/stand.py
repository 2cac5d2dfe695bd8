"""The stand that holds the indicator: it creeps, jumps or is knocked. Knows nothing of the part."""

from dataclasses import dataclass

from logger.practice.bench.course import Course


@dataclass(frozen=True)
class Stand:
    """What the stand does; all off for a good one."""

    offset_mm: float = 0.0
    """Where it stood when it began: it may have crept between two sweeps."""
    drift_mm_per_s: float = 0.0
    jump_mm: float = 0.0
    jump_at: float = 1.6
    """When it jumps and stays, turns done."""
    knock_mm: float = 0.0
    knock_at: float = 1.45
    """When it is knocked, turns done."""
    knock_us: int = 50_000
    """How long a knock lasts."""


class StandMotion:
    """A stand on one course: its times are known."""

    def __init__(self, stand: Stand, course: Course) -> None:
        self._stand = stand
        self._jump_us = course.time_of(stand.jump_at) if stand.jump_mm else 0
        self._knock_us = course.time_of(stand.knock_at) if stand.knock_mm else 0

    def offset_mm(self, t_us: int) -> float:
        """Return how much more the indicator reads because of the stand."""
        stand = self._stand
        offset = stand.offset_mm + stand.drift_mm_per_s * t_us * 1e-6
        if stand.jump_mm and t_us >= self._jump_us:
            offset += stand.jump_mm
        if stand.knock_mm and self._knock_us <= t_us < self._knock_us + stand.knock_us:
            offset += stand.knock_mm
        return offset
