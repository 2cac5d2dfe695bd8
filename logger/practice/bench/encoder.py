"""The angle encoder: whole counts after x4, a pulse a turn, counts it may miss, a disc off its centre."""

import math
from dataclasses import dataclass

from logger.practice.bench.course import Course


@dataclass(frozen=True)
class EncoderKind:
    """An encoder and how it is fitted."""

    counts_per_turn: int = 2400
    """After x4."""
    pulse_counts: int = 6
    """Width of the index pulse: after a reversal it stands off by so much."""
    off_centre_deg: float = 0.0
    """Amplitude of the once-round angle error of a disc off its centre."""
    index: bool = True
    """Whether it has an index pulse at all."""
    missed_counts: int = 0
    missed_at: float = 1.55
    """When the counts are missed, turns done."""

    @property
    def pulse_turns(self) -> float:
        """Width of the index pulse, turns."""
        return self.pulse_counts / self.counts_per_turn


class Encoder:
    """An encoder on one course; counts without end, the board wraps them."""

    def __init__(self, kind: EncoderKind, course: Course) -> None:
        self.kind = kind
        self._course = course
        self._missed_us = course.time_of(kind.missed_at) if kind.missed_counts else 0

    def count(self, t_us: int) -> int:
        """Return the counts from where the bench began to stand."""
        turns = self._course.place(t_us).turns
        off = self.kind.off_centre_deg / 360.0 * math.sin(math.tau * turns)
        return math.floor((turns + off) * self.kind.counts_per_turn + 0.5) - self.missed(t_us)

    def missed(self, t_us: int) -> int:
        """Return how many counts have been missed by this time."""
        return self.kind.missed_counts if self.kind.missed_counts and t_us >= self._missed_us else 0
