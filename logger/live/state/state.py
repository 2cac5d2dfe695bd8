"""What a live session knows, as one frozen value. Only ``update`` makes the next one."""

import math
from dataclasses import dataclass, field, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

from analysis.capture import AngleSource
from analysis.capture.events import Event, MarkTouched, TurnExcluded, WindowExcluded
from analysis.decision import limit_at_track
from analysis.errors import BadInput, FullturnError
from analysis.results import TurnResult
from analysis.setup import Quantity, Setup, parse_setup
from logger.decoding import stands
from logger.live.state.reading import BoardReport, LiveReading
from logger.live.state.stop_places import StopPlaces
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.undo import Inverse

RPM_OF_RAD_S = 30.0 / math.pi
MOST_TURNS = 400
"""So many of the newest turns are kept with their own numbers."""


class Role(StrEnum):
    """What a window is to the board."""

    OWNER = "owner"
    """It has the port."""
    PRACTICE = "practice"
    """It has a practice bench."""
    FOLLOW = "follow"
    """It reads a recording that another window writes."""
    REPLAY = "replay"
    """It reads a recording that is closed."""

    @property
    def owns_board(self) -> bool:
        """Tell whether the board is this window's own: what is done counts and is recorded."""
        return self in (Role.OWNER, Role.PRACTICE)

    @property
    def may_act(self) -> bool:
        """Tell whether anything may be done; a replay keeps it to itself."""
        return self is not Role.FOLLOW


class LinkState(StrEnum):
    """How the board stands."""

    WAITING = "waiting"
    """Nothing has come yet, or not since it was plugged in again."""
    HERE = "here"
    GONE = "gone"
    RESTARTED = "restarted"
    """It is here, but its count began again and no mark was touched since."""


@dataclass(frozen=True)
class FinishedTurn:
    """A turn that has ended, with its own numbers; its samples are in the session alone."""

    result: TurnResult
    start_s: float
    end_s: float


@dataclass(frozen=True)
class SweepState:
    """The turns since the mark, and what was said of them."""

    turns: tuple[FinishedTurn, ...] = ()
    starred: frozenset[int] = frozenset()
    """Numbers of turns that have a star."""
    excluded: tuple[TurnExcluded | WindowExcluded, ...] = ()
    broken: str = ""
    """Why the turns before count no more; empty while they do."""
    mark: MarkTouched | None = None
    """The mark that the turns count from; None before one was touched."""
    marked: bool = False
    """A mark was touched since the board started."""
    over_limit: bool = False
    """The newest analysis says over the limit."""

    @property
    def last(self) -> FinishedTurn | None:
        """The last full turn; None before the first."""
        return self.turns[-1] if self.turns else None

    @property
    def heading(self) -> FinishedTurn | None:
        """The last full turn that is not left out; None where there is none."""
        out = {one.turn for one in self.excluded if isinstance(one, TurnExcluded)}
        return next((turn for turn in reversed(self.turns) if turn.result.turn not in out), None)


@dataclass(frozen=True)
class SetAside:
    """What a mark that was touched set aside, for whoever takes that mark back."""

    sweep: SweepState
    analysis: SweepSoFar | None
    link: LinkState


@dataclass(frozen=True)
class Display:
    """What is shown and nowhere recorded."""

    zero_mm: float = 0.0
    """Taken off the reading."""
    message: str = ""
    """What the last key did; empty after a while."""
    until_s: float = 0.0
    """When the message goes, on the window's clock."""


@dataclass(frozen=True)
class LiveState:
    """Everything a live session knows at one moment."""

    role: Role
    name: str = ""
    """Port, file or scenario."""
    setup: Setup = field(default_factory=lambda: parse_setup({}))
    reading: LiveReading = field(default_factory=LiveReading)
    board: BoardReport = field(default_factory=BoardReport)
    now_ns: int = 0
    """The moment it is known at, on the source's monotonic clock, going on while nothing comes."""
    link: LinkState = LinkState.WAITING
    board_name: str = ""
    ended: bool = False
    error: FullturnError | None = None
    """Why it ended, where it did not end as asked."""
    sweep: SweepState = field(default_factory=SweepState)
    stops: StopPlaces = field(default_factory=StopPlaces)
    """What was read standing, where angles come from stops."""
    analysis: SweepSoFar | None = None
    """The newest analysis of all turns."""
    set_aside: tuple[SetAside, ...] = ()
    """What the marks touched before set aside, the newest last."""
    taking_back: Event | None = None
    """What was asked to be recorded to take something back, until it has come back."""
    revision: int = 0
    """Grows with every change that the analysis has to follow."""
    display: Display = field(default_factory=Display)
    recording: Path | None = None
    """Where it is recorded; None where it is not."""
    recording_id: str = ""
    named: Path | None = None
    """Where it is kept under a name that was given to it."""
    checking: bool = False
    """The indicator's check runs: nobody's push on the tip is taken for a button."""
    undo: tuple[Inverse, ...] = ()
    """What takes back what was done, the last at the end."""
    next_exclusion: int = 1

    @property
    def limit_mm(self) -> float | None:
        """The TIR limit at the track; None where there is none, or it is of something else."""
        limit = self.setup.limit
        if limit is None or limit.quantity not in (Quantity.TIR, Quantity.TIR_FIRST):
            return None
        try:
            return limit_at_track(limit, self.setup)[0]
        except BadInput:
            return None

    @property
    def wants_mark(self) -> bool:
        """Tell whether nothing counts until a mark is touched: after a restart, or a sweep that broke."""
        lost = self.link is LinkState.RESTARTED or bool(self.sweep.broken)
        return lost and self.role.owns_board and bool(self.board.counts_per_turn)

    @property
    def stands(self) -> bool | None:
        """Whether the part stands, by its counts; None where nothing tells."""
        return stands(self.reading.counts_moved, self.board.counts_per_turn)

    @property
    def speaks(self) -> bool:
        """Tell whether the gauge gives new values."""
        return self.link is not LinkState.GONE and not self.reading.silent(self.now_ns)

    @property
    def rpm(self) -> float | None:
        """How fast the part turns, turns a minute; None where nothing tells."""
        counts_per_s, counts_per_turn = self.reading.counts_per_s, self.board.counts_per_turn
        if counts_per_s is not None and counts_per_turn:
            return abs(counts_per_s) / counts_per_turn * 60.0
        speed_rad_s = self.reading.speed_rad_s
        return None if speed_rad_s is None else abs(speed_rad_s) * RPM_OF_RAD_S

    @property
    def is_whole_only(self) -> bool:
        """True where angles come so that no turn is known before the sweep is looked at whole."""
        return self.board.angle_source in (AngleSource.STEADY, AngleSource.STOPS)

    def changed(self) -> "LiveState":
        """Return it with one more change for the analysis to follow."""
        return replace(self, revision=self.revision + 1)

    def with_sweep(self, **changes: Any) -> "LiveState":
        """Return it with these fields of the sweep changed."""
        return replace(self, sweep=replace(self.sweep, **changes))
