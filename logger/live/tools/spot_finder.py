"""HERE: which spots can be found, how far it still is, which way, and when the spot is there.

Knows the part's angle now and the angle of the spot; lag of the gauge is taken off the spot beforehand.
"""

from dataclasses import dataclass

from analysis.setup import MarkSide, Setup, Stage
from logger.live.drawing.angle_words import crayon_offset_deg
from logger.live.state.sweep_so_far import FoundSpots, SweepSoFar

HERE_DEG = 0.3
"""HERE begins this close (or within half a count, where a count is wider) ..."""
STILL_HERE_DEG = 1.0
"""... and ends where it is further away than this (or one count)."""
NEAR_DEG = 3.0
"""A screw within so much (or one count) is the one the tip stands at."""
OVERSHOT_DEG = 45.0
"""Passed by less than this, it is nearer to go back."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A spot that can be found."""

    name: str
    deg: float
    """Its angle past the mark."""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Approach:
    """What is still to go."""

    here: bool
    direction: int
    """+1 turn with growing angle (clockwise seen from the declared end), -1 against it."""
    to_go_deg: float
    overshot: bool
    arrived: bool
    """True once, at the moment it becomes HERE."""
    near: bool
    """The tip is at the place, near enough to read it there."""


def spots(analysis: SweepSoFar | None, setup: Setup) -> list[Spot]:
    """Return the spots that can be found now: from the sweep where there is one, holes, screws, the mark."""
    found: list[Spot] = []
    if analysis is not None and analysis.result is not None:
        p = analysis.result.pooled
        spots = analysis.spots or FoundSpots(p.high_point.value, p.high_side.value, p.low_point_deg)
        found += [
            Spot("high point", spots.high_point_deg, "top of the curve: a cut touches first"),
            Spot("high side", spots.high_side_deg, "direction of order 1: holes, shims"),
            Spot("low point", spots.low_point_deg, "bottom of the curve"),
        ]
        if setup.stage == Stage.ON_THE_LATHE:
            found.append(Spot("first touch", spots.high_point_deg, "where the tool touches"))
    if setup.mark_on == MarkSide.PART:
        found += [Spot(f"hole {k + 1}", hole.deg) for k, hole in enumerate(setup.holes)]
        found += [Spot(f"screw {k + 1}", deg) for k, deg in enumerate(setup.screws_deg)]
    found.append(Spot("the mark", 0.0))
    return found


class SpotFinder:
    """Leads to one spot."""

    def __init__(self, spot: Spot, setup: Setup, counts_per_turn: float, main_direction: int) -> None:
        self.spot = spot
        self._stop_at_deg = spot.deg + crayon_offset_deg(setup)
        count_deg = 360.0 / counts_per_turn if counts_per_turn else 0.0
        self._enter, self._leave = max(HERE_DEG, count_deg / 2.0), max(STILL_HERE_DEG, count_deg)
        self._near = max(NEAR_DEG, count_deg)
        self._direction = main_direction or 1
        self._here = False

    def approach(self, angle_deg: float) -> Approach:
        """Return what is still to go from this angle."""
        ahead = (self._stop_at_deg - angle_deg) * self._direction % 360.0
        off = min(ahead, 360.0 - ahead)
        before = self._here
        self._here = off <= (self._leave if before else self._enter)
        overshot = ahead > 360.0 - OVERSHOT_DEG
        return Approach(
            self._here,
            -self._direction if overshot else self._direction,
            360.0 - ahead if overshot else ahead,
            overshot,
            self._here and not before,
            self.is_near(angle_deg),
        )

    def is_near(self, angle_deg: float) -> bool:
        """Tell whether the tip is at the place at this angle, within 3 deg or one count."""
        off = (self._stop_at_deg - angle_deg) % 360.0
        return min(off, 360.0 - off) <= self._near
