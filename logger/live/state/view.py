"""What a page is painted from: one frozen value per frame. Lengths in mm, angles in degrees."""

from bisect import bisect_right
from dataclasses import dataclass
from datetime import date

from analysis.capture import AngleSource, Floats
from analysis.results import SweepResult, TurnResult
from analysis.setup import Setup
from logger.live.state.claims import Claims
from logger.live.state.state import Role
from logger.live.state.sweep_so_far import SweepSoFar


@dataclass(frozen=True)
class ReplayPosition:
    """Where a replay stands."""

    speed: float
    paused: bool
    at_s: float
    starts_s: tuple[float, ...] = ()
    """When each full turn began; empty while that is being looked up."""
    lasts_s: float = 0.0
    """How long the whole recording lasts; 0 while that is being looked up."""

    @property
    def turn(self) -> int:
        """Which turn it is in, counted from 1; 0 before the first."""
        return bisect_right(self.starts_s, self.at_s + 0.05)  # a recording comes in pieces of some 20 ms


@dataclass(frozen=True)
class Moment:
    """When a view is made."""

    recorded_s: float
    """For how long it has been going on."""
    today: date


@dataclass(frozen=True)
class View:
    """Everything that is known at this moment."""

    role: Role
    name: str
    """Port, file or scenario."""
    setup: Setup
    reading_mm: float | None
    """As the indicator shows it; None before the first."""
    zero_mm: float
    """Taken off for the display only."""
    live: bool
    """False: dashes."""
    words: str
    """What is wrong with gauge or board; empty while all is well."""
    step_mm: float
    angle_deg: float | None
    rpm: float | None
    """None where nothing tells how fast it turns."""
    direction: int
    counts_per_turn: float
    max_rpm: float | None
    """The fastest this gauge can follow."""
    turns: int
    last: TurnResult | None
    """The last full turn of this sweep; None where its numbers may not be told."""
    starred: bool
    """Whether the last full turn has its star."""
    high: tuple[float, float] | None
    low: tuple[float, float] | None
    pass_low: Floats
    pass_high: Floats
    missing: tuple[tuple[float, float], ...]
    """Arcs not seen yet, (from, to) in degrees."""
    analysis: SweepSoFar | None
    behind: bool
    """True where more than the newest turn has come since that analysis was begun."""
    """The newest; None where its numbers may not be told."""
    limit_mm: float | None
    """TIR limit at the track, as the strip's lines; None where there is none."""
    limit_words: str
    recording: str
    """Where it is recorded; empty where it is not, or no more."""
    recorded_s: float
    named: bool
    message: str
    """What the last key did; empty after a while."""
    locked: bool
    bells: bool
    broken: str
    """Why the sweep is broken; empty while it is not."""
    overdue: str
    marked: bool
    claims: Claims
    """What may be said of the part now."""
    wants_mark: bool
    """Nothing counts until the mark is touched."""
    link: str
    """What the link lost, in words; empty where nothing."""
    source: AngleSource | None = AngleSource.ENCODER
    """Where the angle comes from; None before the first reading."""
    angle_note: str = ""
    """What is to be known of the angle, or why there is none; empty where an encoder tells it."""
    stop_at: str = ""
    """Which place comes next, where angles come from stops."""
    replaying: ReplayPosition | None = None

    @property
    def result(self) -> SweepResult | None:
        """The newest analysis of all turns."""
        return self.analysis.result if self.analysis else None

    @property
    def shown_mm(self) -> float | None:
        """The reading with the display's zero taken off."""
        return None if self.reading_mm is None else self.reading_mm - self.zero_mm
