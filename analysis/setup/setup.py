"""The set-up of a sweep as checked values; knows no reading."""

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from analysis.setup.choices import (
    AngleFrom,
    ButtonUse,
    DeclaredEnd,
    ErrorMeans,
    GaugeType,
    MarkKind,
    MarkSide,
    Quantity,
    Stage,
    Surface,
    Turning,
)
from analysis.units import Length


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole, keyway or slot in the track, left out of a sweep only when it has a width."""

    deg: float
    """Angle of its middle from the mark, degrees."""
    width_deg: float = 0.0
    """Angular width, degrees; 0 = place only."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit as written in a manual."""

    length: Length
    quantity: Quantity
    radius_mm: float | None = None
    """Radius at which a face limit holds, where that is stated."""
    source: str = ""
    """Where it is written."""
    kept: bool = False
    """True where it came with a recording or a file, and nothing of it was typed now."""


@dataclass(frozen=True)
class GaugeDelay:
    """How late a gauge's readings are, as declared."""

    delay_s: float
    u_s: float
    """Standard uncertainty: of limits +-a it is a / sqrt 3 (JCGM 100:2008, 4.3.7)."""


@dataclass(frozen=True)
class Setup:
    """A checked set-up. Lengths in mm, angles in degrees as typed."""

    text: Mapping[str, str] = field(default_factory=dict)
    """Everything as written, what is unknown or not used included."""
    surface: Surface = Surface.FACE
    stage: Stage = Stage.OTHER
    part: str = ""
    serial: str = ""
    temperature_c: float | None = None
    """Of the part."""
    declared_end: DeclaredEnd = DeclaredEnd.GAUGE
    sense: int = 1
    """How counts go with the part's angle: as declared, turned round where the indicator is carried round."""
    mark: MarkKind = MarkKind.EVENT
    mark_on: MarkSide = MarkSide.PART
    button_1: ButtonUse = ButtonUse.NEXT
    button_2: ButtonUse = ButtonUse.MARK
    channel: int = 0
    track_radius_mm: float | None = None
    track_plane_mm: float | None = None
    """Where along the axis an outside or bore is measured."""
    index_angle_deg: float | None = None
    counts_per_turn: float | None = None
    """Overrides the board's own number when set (a learnt, fractional value)."""
    u_counts_per_turn: float = 0.0
    """Standard uncertainty of the learnt value: what a roller that slips leaves open."""
    angle_source: AngleFrom = AngleFrom.AUTO
    places: int | None = None
    """Even places a sweep by stops has; None = as many as there are holes."""
    holes: tuple[Hole, ...] = ()
    screws_deg: tuple[float, ...] = ()
    """Screws, jaws or shims, from the mark."""
    tip_clock: int | None = None
    tool_clock: int | None = None
    crayon_at: int | None = None
    gauge_type: GaugeType = GaugeType.PLUNGER
    gauge_angle_deg: float = 0.0
    gauge_delay: GaugeDelay | None = None
    """How late its readings are, where that is known."""
    gauge_due: date | None = None
    """Last day on which the gauge's certificate holds."""
    gauge_table_mm: tuple[tuple[float, float], ...] = ()
    """The certificate's points, reading and error."""
    gauge_error_mm: float | None = None
    """Of its certificate; what the figure is says ``error_means``."""
    error_means: ErrorMeans = ErrorMeans.LIMITS
    gauge_hysteresis_mm: float | None = None
    gauge_register: str = ""
    """Whether what was typed of the gauge agrees with the register; empty where that knows nothing."""
    turning: Turning = Turning.PART
    limit: Limit | None = None
    turns_planned: int | None = None
    """Full turns planned before the first one; None where nobody planned."""
    looks_before: int = 0
    """Earlier recordings of the same part, stage and limit."""
    unknown: tuple[str, ...] = ()
    """Keys that are kept but mean nothing here."""
    unused: Mapping[str, str] = field(default_factory=dict)
    """Keys whose kept value cannot be, each with the sentence that says why: as if it were not there."""


def setup_crc32(text: Mapping[str, str]) -> str:
    """Return a set-up's checksum: CRC-32 of the sorted ``key=value`` lines, 8 small hex digits."""
    lines = "".join(f"{key}={text[key]}\n" for key in sorted(text) if key != "crc32")
    return f"{zlib.crc32(lines.encode()):08x}"
