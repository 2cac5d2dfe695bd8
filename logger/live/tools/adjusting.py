"""Dialling in: one screw, jaw or shim after the other, and what the indicator there has to read.

The moves come from order 1 of the sweep so far; the reading at a screw when its turn begins is its start.
"""

from dataclasses import dataclass, field

from analysis.correction import Adjustment, Move, reading_to_reach_mm, still_to_turn_mm
from analysis.errors import BadInput
from analysis.setup import Setup, Surface
from analysis.units import parse_angle

DONE_STEPS = 1.0
"""A screw is where it should be within one step of the gauge."""


def angles_of(setup: Setup) -> tuple[float, ...]:
    """Return where the screws are: ``screws`` of the set-up, else its holes; empty where there are none."""
    return setup.screws_deg or tuple(hole.deg for hole in setup.holes)


def typed_angles(text: str) -> tuple[float, ...]:
    """Read angles as typed: ``0,120,240``. Raises BadInput."""
    angles = tuple(parse_angle(word, "screws: angle") for word in text.replace(",", " ").split())
    if len(angles) < 2:
        raise BadInput(f"screws at {text!r}: give two or more different angles, as 0,120,240")
    return angles


@dataclass
class AdjustmentGuide:
    """One round of the screws."""

    found: Adjustment
    surface: str
    step_mm: float
    """Step of the gauge."""
    at: int = 0
    """Which screw, from 0."""
    start_mm: float | None = None
    """Reading when its turn began; None while the part is still being turned to it."""
    done: set[int] = field(default_factory=set)

    @property
    def move(self) -> Move:
        """The move of the screw that is next."""
        return self.found.moves[self.at]

    @property
    def shows_readings(self) -> bool:
        """Tell whether the indicator shows the move: not for shims under a face."""
        return self.surface != Surface.FACE

    @property
    def over(self) -> bool:
        """Tell whether every screw was done."""
        return len(self.done) == len(self.found.moves)

    @property
    def change_mm(self) -> float:
        """By how much the reading at the screw changes with its move: a bore reads the other way."""
        return -self.move.move_mm if self.surface == Surface.BORE else self.move.move_mm

    def target_reading_mm(self) -> float | None:
        """Return what the indicator has to read; None before it stands at the screw."""
        return None if self.start_mm is None else reading_to_reach_mm(self.change_mm, self.start_mm)

    def still_mm(self, now_mm: float | None) -> float | None:
        """Return how much the reading still has to change; None where nothing tells."""
        if self.start_mm is None or now_mm is None:
            return None
        return still_to_turn_mm(self.change_mm, self.start_mm, now_mm)

    def there(self, now_mm: float | None) -> bool:
        """Tell whether the reading is where it should be."""
        left = self.still_mm(now_mm)
        return left is not None and abs(left) <= max(DONE_STEPS * self.step_mm, 1e-6)

    def press(self, now_mm: float | None) -> None:
        """The tip stands at the screw; or its move is done, and the next one follows."""
        if self.shows_readings and self.start_mm is None:
            self.start_mm = now_mm
            return
        self.done.add(self.at)
        self.start_mm = None
        left = [k for k in range(len(self.found.moves)) if k not in self.done]
        if left:
            self.at = next((k for k in left if k > self.at), left[0])

    def choose(self, step: int) -> None:
        """Take another screw."""
        self.at = (self.at + step) % len(self.found.moves)
        self.start_mm = None


def direction_words(move_mm: float, surface: str) -> str:
    """Return which way: + is away from the axis."""
    if surface == Surface.FACE:
        return "shim to add"
    return "back off, away from the axis" if move_mm > 0 else "turn in, toward the axis"
