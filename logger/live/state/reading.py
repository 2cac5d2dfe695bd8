"""What gauge, encoder and board say at one moment, as frozen values: made for every frame, never changed."""

from dataclasses import dataclass, field

import numpy as np

from analysis.capture import AngleSource, Floats
from analysis.setup import MarkSide
from logger.live.state.pass_trace import BINS

LEAST_SILENCE_S = 0.5
PERIODS = 3.0
UNKNOWN_PERIOD_S = 2.0
"""Allowed before two values have told the gauge's own period."""
CARRIED_ON_S = 0.15
"""An angle is carried on over the reading's own age, at most so long."""


def _nothing_drawn() -> Floats:
    return np.full(BINS, np.nan)


@dataclass(frozen=True)
class LiveReading:
    """The newest readings. Lengths in mm, angles in rad but for the extremes, which have degrees."""

    reading_mm: float | None = None
    """As the indicator shows it; None before the first."""
    angle_rad: float | None = None
    new_ns: int | None = None
    """When the newest NEW gauge value came, on the source's monotonic clock."""
    newest_ns: int = 0
    """When the newest reading of any kind came."""
    period_s: float | None = None
    """The gauge's own period; None before two of its values."""
    counts_per_s: float | None = None
    """Speed by counts over the newest moment, angle known or not; None where nothing counts."""
    counts_moved: float | None = None
    """By how much the count went to and fro in the newest half second; None where nothing tells."""
    speed_rad_s: float | None = None
    """Over the newest moment; None where nothing tells the angle."""
    newest_speed_rad_s: float = 0.0
    """Over the newest two readings."""
    high: tuple[float, float] | None = None
    """(mm, degrees or NaN) of the highest reading since the last clearing."""
    low: tuple[float, float] | None = None
    direction: int = 1
    """+1 where the part was last turned with growing angles, else -1."""
    pass_low: Floats = field(default_factory=_nothing_drawn, repr=False, compare=False)
    """Lowest reading of each bin of the newest pass as it is drawn, shape (720,)."""
    pass_high: Floats = field(default_factory=_nothing_drawn, repr=False, compare=False)
    missing_deg: tuple[tuple[float, float], ...] = ((0.0, 360.0),)
    """Arcs of the turn not seen yet, (from, to)."""

    def silent(self, now_ns: int) -> bool:
        """Tell whether no NEW value came for the longer of 0.5 s and three of the gauge's own periods."""
        if self.new_ns is None:
            return True
        allowed = UNKNOWN_PERIOD_S if self.period_s is None else max(LEAST_SILENCE_S, PERIODS * self.period_s)
        return (now_ns - self.new_ns) * 1e-9 > allowed

    def angle_at(self, now_ns: int) -> float | None:
        """Return the angle carried on to this moment, rad."""
        if self.angle_rad is None:
            return None
        age_s = min(CARRIED_ON_S, max(0.0, (now_ns - self.newest_ns) * 1e-9))
        return self.angle_rad + self.newest_speed_rad_s * age_s


@dataclass(frozen=True)
class BoardReport:
    """Where angles come from, what they count from, and how the link does."""

    angle_source: AngleSource = AngleSource.NONE
    count: int | None = None
    """Newest count of the encoder."""
    counts_per_turn: float = 0.0
    """0 where there is no encoder."""
    part_mark: int | None = None
    """Count at which the part's mark was touched last in this boot; None where it was not."""
    arbor_mark: int | None = None
    zero_known: bool = True
    """False after a restart, until a mark says which count is angle 0."""
    boots: int = 1
    """How many boots of the board have been heard."""
    two_ports: bool = False
    """The counts come on a port of their own."""
    step_mm: float = 0.0
    """Step of the gauge; 0 where it is not known yet."""
    frames_lost: int = 0
    heard_ns: int = 0
    """When anything at all came, on the source's monotonic clock."""
    problem: str = ""
    """Why there is no board yet; empty while all is well."""

    def mark_count(self, on: MarkSide) -> int | None:
        """Return the count at which this side's mark was touched last."""
        return self.part_mark if on is MarkSide.PART else self.arbor_mark
