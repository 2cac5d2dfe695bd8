"""Undo as data: the event that takes back what was done, kept in the state until somebody asks for it."""

import math
from dataclasses import dataclass

from analysis.capture.events import (
    Event,
    ExclusionUndone,
    Extreme,
    ExtremesRestored,
    MarkTouched,
    MarkUndone,
    ReadingZeroed,
    StarUndone,
)
from analysis.setup import MarkSide


@dataclass(frozen=True)
class Inverse:
    """The event that takes something back, and what that is in words."""

    event: Event
    what: str


def of_mark(on: MarkSide, before: int | None) -> Inverse:
    """Take a mark back to the count it had before; the only one is taken away, not set to some count."""
    return Inverse(MarkUndone(on) if before is None else MarkTouched(on, before), "mark")


def of_zero(before_mm: float) -> Inverse:
    """Let the reading count from where it did before."""
    return Inverse(ReadingZeroed(before_mm), "zero")


def of_clearing(high: tuple[float, float] | None, low: tuple[float, float] | None) -> Inverse:
    """Bring the extremes back, (mm, degrees or NaN) each."""
    return Inverse(ExtremesRestored(_written(high), _written(low)), "high and low")


def of_star(turn: int) -> Inverse:
    """Take a turn's star."""
    return Inverse(StarUndone(turn), "star")


def of_exclusion(number: int) -> Inverse:
    """Let count what was excluded under this number."""
    return Inverse(ExclusionUndone(number), "what was left out")


def _written(end: tuple[float, float] | None) -> Extreme | None:
    return None if end is None else (end[0], end[1] if math.isfinite(end[1]) else None)
