"""One sweep of the virtual bench: everything that makes its bytes, and what is true of it.

The truth comes from the scenario's own parameters in closed form, never from an analysis.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from analysis.capture.events import Event
from logger.practice.bench.board import BoardKind
from logger.practice.bench.encoder import EncoderKind
from logger.practice.bench.gauge import GaugeKind
from logger.practice.bench.link import LinkKind
from logger.practice.bench.motion import Hand, Motion
from logger.practice.bench.plant import Plant
from logger.practice.bench.second_tip import AxialMotion, SecondTip
from logger.practice.bench.stand import Stand

OVERRUN_TURNS = 0.06
"""The part is turned so far past the mark after the last turn."""


@dataclass(frozen=True)
class Scenario:
    """A bench as it stands for one sweep."""

    name: str
    """``job/sweep``."""
    words: str
    """What it is, one line."""
    plant: Plant
    setup: Mapping[str, str]
    """Set-up as it stands in a recording, text to text."""
    motion: Motion = field(default_factory=Hand)
    gauge: GaugeKind = field(default_factory=GaugeKind)
    encoder: EncoderKind = field(default_factory=EncoderKind)
    stand: Stand = field(default_factory=Stand)
    board: BoardKind = field(default_factory=BoardKind)
    link: LinkKind = field(default_factory=LinkKind)
    turns: int = 5
    """Turns (or push-pull cycles) until it is done."""
    events: tuple[tuple[float, Event], ...] = ()
    """What the person notes: share of every turn (or cycle) at which, rising."""
    float_mm: float | None = None
    """How far the shaft comes when it is pushed and pulled; None where it is turned instead."""
    axial_motion: AxialMotion | None = None
    """What the shaft does along its axis while it turns; None where it only turns."""
    second: SecondTip | None = None
    """A second indicator; None where there is one."""
    carried: bool = False
    """Whether the indicator is carried round and the part stands: angles then run the other way."""
    begins_s: int = 0
    """When it begins in the story of its job, seconds."""

    def truth(self) -> dict[str, float | str | None]:
        """Return what a perfect sweep and analysis would find; angles from the zero of the set-up.

        Keys end in the unit (mm, deg); None where there is no such thing. ``tir_first_mm``,
        ``high_side_deg``: order 1. ``tir_fit_mm``, ``high_point_deg``, ``low_point_deg``: the curve of all
        orders. ``mount_first_mm``, ``mount_first_part_deg``: what a perfect cut here would leave, turned
        over (on the lathe only). Bumps, bearing motion and faults are not in it.
        """
        turning = self.float_mm is None
        orders = self.plant.orders
        curve = self.plant.extremes
        mount = self.plant.mount if self.plant.on_lathe else None
        return {
            "angle_on": self.setup.get("mark_on", "part"),
            "tir_first_mm": orders.tir_first_mm if turning else None,
            "high_side_deg": orders.high_side_deg if turning else None,
            "tir_fit_mm": curve.tir_mm if turning else None,
            "high_point_deg": curve.high_point_deg if turning else None,
            "low_point_deg": curve.low_point_deg if turning else None,
            "end_float_mm": self.float_mm,
            "mount_first_mm": mount.tir_first_mm if mount else None,
            "mount_first_part_deg": mount.high_side_deg if mount else None,
        }
