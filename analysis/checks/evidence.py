"""What checks look at. Whoever has a fitted sweep gives it, each group when a check first asks."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from analysis.capture import Capture
from analysis.diagnosis import Bump, GaugeFacts, GaugeLag, Hysteresis, Jump, Slip, Standstill
from analysis.results import TurnResult


@dataclass(frozen=True, slots=True)
class Deviation:
    """A length that should be nothing, and what noise alone makes of it, mm."""

    mm: float
    noise_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Turning:
    """The turns of a sweep, and what of the part was seen in them."""

    turns: Sequence[TurnResult]
    other_direction: int
    """Full turns against the main direction, which do not count."""
    refused_turns: Sequence[str]
    """What is said of turns that were left out."""
    places: int
    """Different places at which there are values, over all turns."""
    together_gap_deg: float
    """Widest gap of all turns together."""
    highest_order: int
    """Highest order, at most 15, that the values and places of all turns together carry."""
    windows_left_out: int
    """Windows of angle, such as holes, whose readings do not count."""


@dataclass(frozen=True, slots=True)
class Lobes:
    """Waves round the part above the orders that are always fitted. Heights are highest less lowest, mm."""

    found: Sequence[tuple[int, float]]
    """Number round the part and height of each that was counted in."""
    seen_mm: float
    """Height from which one is found in 95 of 100 sweeps."""
    looked_for: int
    """So many round the part at most."""
    not_told: Sequence[int] = ()
    """Numbers on the way that the places of the readings cannot tell."""


class Evidence(Protocol):
    """All that the checks look at. Lengths in mm."""

    @property
    def capture(self) -> Capture:
        """The capture itself: link, pulses, events."""

    @property
    def gauge(self) -> GaugeFacts:
        """The gauge as its readings show it."""

    @property
    def reference_mm(self) -> float:
        """The limit at the track, or the fitted TIR."""

    @property
    def few_places(self) -> bool:
        """True where so few places were read that faults of a stream cannot be looked for."""

    @property
    def turning(self) -> Turning:
        """The turns, and what of the part was seen in them."""

    @property
    def out_of_range_share(self) -> float:
        """Share of the turns' samples with the gauge beyond its range, 0 to 1."""

    @property
    def closure(self) -> Deviation | None:
        """Reading back at the mark less the first one, a fitted drift taken off; None where not taken."""

    @property
    def drift_per_turn(self) -> Deviation | None:
        """Fitted drift over one turn; None where none was fitted."""

    @property
    def repeat(self) -> Deviation:
        """Greatest difference between the curves of two turns."""

    @property
    def bumps(self) -> Sequence[Bump]:
        """Narrow bumps of the track."""

    @property
    def lobes(self) -> Lobes | None:
        """Waves above the highest order; None where none were looked for."""

    @property
    def standstills(self) -> Sequence[Standstill]:
        """Where the gauge stood still although the part turned."""

    @property
    def jump(self) -> Jump | None:
        """A step in time that is not a step in angle."""

    @property
    def lag(self) -> GaugeLag:
        """How late the gauge is."""

    @property
    def hysteresis(self) -> Hysteresis | None:
        """What ground passed twice tells of play."""

    @property
    def slip(self) -> Slip | None:
        """Slip of encoder or coupling against the part, as the turns tell it."""
