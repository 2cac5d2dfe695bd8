"""What is said of a sweep: frozen results, lengths in mm, angles in degrees from the sweep's mark."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.capture import AngleSource, Floats, Window
from analysis.decision import ONE_LOOK, Decidable, Decision, Looks
from analysis.diagnosis import Bump, GaugeFacts, GaugeLag, Slip
from analysis.frames import frame
from analysis.notebook import as_html
from analysis.numerics import OrderVectors, UncertainNumber
from analysis.setup import Quantity, Setup
from analysis.uncertainty import BudgetLine, Points
from analysis.units import format_arc


@dataclass(frozen=True)
class TurnResult:
    """One turn by itself: plain numbers, no uncertainty."""

    turn: int
    """Position among the turns of the sweep, from 0."""
    direction: int
    """+1 or -1, after sense."""
    samples: int
    values: int
    """New gauge values that count (held, out of range and left-out ones do not)."""
    coverage: float
    """Share of the turn within six degrees of a value, 0 to 1."""
    largest_gap_deg: float
    rpm: float
    tir_raw_mm: float
    tir_fit_mm: float
    """Plain max - min of this turn's own fit."""
    tir_first_mm: float
    high_point_deg: float
    vectors_mm: NDArray[np.complex128]
    """z_n = a_n + i b_n of this turn's fit, shape (H,)."""
    start_s: float
    end_s: float

    def __repr__(self) -> str:
        """Return the turn on one line."""
        return (
            f"TurnResult(turn {self.turn}, {self.values} values, {self.rpm:.1f} rpm, "
            f"TIR {self.tir_fit_mm:.4f} mm, high point {self.high_point_deg:.1f} deg)"
        )


@dataclass(frozen=True)
class OrderResult:
    """One order of the pooled fit."""

    n: int
    cos_mm: float
    sin_mm: float
    u_mm: float
    """Standard uncertainty of each component."""
    amplitude_mm: float
    u_amplitude_mm: float
    high_deg: float
    """First high place of this order, [0, 360 / n)."""
    u_deg: float


@dataclass(frozen=True, slots=True)
class LineResult:
    """One motion that does not repeat with the turn, taken off the orders."""

    order: float
    """Cycles a turn."""
    amplitude_mm: float
    predicts: float
    """Share of the squares that it leaves of readings it was not fitted to: the less, the steadier."""


class FormOf(StrEnum):
    """What the form of a sweep is of."""

    CURVE = "curve"
    POINTS = "points"


@dataclass(frozen=True)
class SweepSummary:
    """All pooled turns together. Names as in the project's promise for ``sweep --json``."""

    turns: int
    highest_order: int
    tir_raw_mm: float
    tir_fit: UncertainNumber
    """Of the fitted curve; its parts are the budget of the sweep, the random line first."""
    tir_first: UncertainNumber
    high_point: UncertainNumber
    """deg."""
    low_point_deg: float
    high_side: UncertainNumber
    """deg."""
    eccentricity_mm: float | None
    centre_deg: float | None
    tilt_mrad: float | None
    form: UncertainNumber
    """max - min without order 1, bias taken out."""
    synchronous_mm: float
    asynchronous_mm: float
    synchronous_of_noise_mm: float
    """What noise alone would give as synchronous with so many turns."""
    asynchronous_of_noise_mm: float
    """What noise alone would give as asynchronous with so many turns."""
    synchronous_95_mm: tuple[float, float] | None
    """95 % interval of max - min of the mean turn without the noise, which lies under ``synchronous_mm``."""
    asynchronous_95_mm: tuple[float, float] | None
    """The same of the greatest width at one angle; both None of one turn and of few places."""
    drift_mm_per_s: float | None
    closure_mm: float | None
    noise_mm: float
    local_noise_mm: float
    """Noise between neighbouring readings, which no ridge inflates."""
    dof: float
    clock: dict[str, float]
    orders: tuple[OrderResult, ...]
    added_orders: tuple[int, ...] = ()
    """Single orders above the highest that were counted in: lobes of the part."""
    order_seen_mm: float | None = None
    """Amplitude from which an order above would have been found in 95 of 100 sweeps; None: not looked for."""
    orders_looked_for: int = 0
    """The highest order looked for."""
    wander_mm: float | None = None
    """Standard deviation of each component of order 1 from turn to turn; None where not compared."""
    wander_dof: float | None = None
    lag1: float | None = None
    """Correlation of neighbouring turns' order 1; None below three turns."""
    lines: tuple[LineResult, ...] = ()

    form_of: FormOf = FormOf.CURVE
    points: int | None = None
    """How many points the form is of; None of a curve."""

    def __repr__(self) -> str:
        """Return what stands first on one line."""
        low, high = self.tir_fit.interval()
        return (
            f"SweepSummary({self.turns} turns, TIR {self.tir_fit.value:.4f} mm [{low:.4f}, {high:.4f}], "
            f"high point {self.high_point.value:.1f} deg, form {self.form.value:.4f} mm, "
            f"orders 1 to {self.highest_order})"
        )

    @property
    def eccentricity_95_mm(self) -> tuple[float, float] | None:
        """95 % interval of the eccentricity: half that of the first order's TIR."""
        if self.eccentricity_mm is None:
            return None
        low, high = self.tir_first.interval()
        return low / 2.0, high / 2.0


class CheckState(StrEnum):
    """How far a check lets a sweep be believed, from best to worst."""

    CLEAR = "clear"
    DOUBTFUL = "doubtful"
    REFUSED = "refused"

    @property
    def rank(self) -> int:
        """Place in this order: the larger, the worse."""
        return list(CheckState).index(self)


@dataclass(frozen=True, slots=True)
class Check:
    """One look at whether readings can be believed."""

    name: str
    state: CheckState
    text: str
    do: str = ""
    """The one thing to do about it; empty when clear."""
    cause: str = ""
    """Name of another check in doubt whose trace this one may be: that one is named first."""


@dataclass(frozen=True)
class SweepResult:
    """Everything said of one sweep."""

    setup: Setup
    angle_source: AngleSource
    gauge: GaugeFacts
    turns: tuple[TurnResult, ...]
    pooled: SweepSummary
    bumps: tuple[Bump, ...]
    checks: tuple[Check, ...]
    decision: Decision | None
    """None where no limit was entered, and at a stage at which none is held against the part."""
    why_no_decision: str = ""
    """Why nothing is decided at this stage of the job, whatever limit was entered; empty where it is."""
    angle_between_counts: bool = False
    """True where angles between the counts of a coarse encoder were told by time."""
    slip: Slip | None = None
    """By how much and where the encoder moved against the part; None where no slip is seen."""
    decidable: Mapping[Quantity, Decidable] = field(default_factory=dict, repr=False)
    """Each quantity that a limit can be held against, empty at a stage that decides nothing."""
    unseen: tuple[BudgetLine, ...] = ()
    """Lines of the budget that no sweep shows by itself: they are in what is held against a limit."""
    few_places: bool = False
    """True where so few places were read that their own max - min decides, and no curve is believed."""
    left_out: tuple[Window, ...] = ()
    remarks: tuple[str, ...] = ()
    """Sentences a reader of the numbers has to know, such as what so few places can miss."""
    past_due: str = ""
    """What is to be said where the gauge's certificate was past due on the day of the sweep; empty else."""
    stages: tuple[str, ...] = ()
    """One line per step of the data path."""
    curve_deg: Floats = field(default_factory=lambda: np.empty(0), repr=False)
    """Angles of the pooled curve, for drawing."""
    curve_mm: Floats = field(default_factory=lambda: np.empty(0), repr=False)
    """The pooled curve at these angles."""
    vectors: OrderVectors | None = field(default=None, repr=False)
    """All orders of the pooled fit with their covariance, for putting sweeps together."""
    points: Points | None = field(default=None, repr=False)
    """Places and readings of a sweep of few places."""
    other_u_mm: float = 0.0
    """Standard uncertainty of the TIR from the budget lines beside the random one."""
    mean_mm: float = 0.0
    """Mean height of the pooled curve at the middle of the sweep: tells tracks of one set-up apart."""
    lag: GaugeLag = field(default_factory=GaugeLag)
    """How late the gauge is; angles are turned back by it where it is known."""
    looks: Looks = ONE_LOOK
    """Which look at the part it is, also at a stage that decides nothing by itself."""
    steps_mm: float = 0.0
    """What steps coarser than the noise add to each half-width of the TIR; 0 where they do not limit."""

    def __repr__(self) -> str:
        """Return the answer on one line: the whole result is hundreds of numbers, and prompts print it."""
        low, high = self.pooled.tir_fit.interval()
        refused = sum(check.state is CheckState.REFUSED for check in self.checks)
        doubtful = sum(check.state is CheckState.DOUBTFUL for check in self.checks)
        state = "no limit" if self.decision is None else str(self.decision.state)
        return (
            f"SweepResult({self.setup.surface}, {len(self.turns)} turns, TIR {self.answer_tir_mm:.4f} mm "
            f"[{low:.4f}, {high:.4f}], {state}, {refused} refused, {doubtful} doubtful)"
        )

    def turns_frame(self, kind: str = "pandas") -> Any:
        """Return one row a turn as a frame: ``pandas``, ``polars`` or ``arrow``. Raises BadInput."""
        names = [one.name for one in fields(TurnResult) if one.name != "vectors_mm"]
        return frame({name: [getattr(turn, name) for turn in self.turns] for name in names}, kind)

    def orders_frame(self, kind: str = "pandas") -> Any:
        """Return one row an order of the pooled fit as a frame. Raises BadInput."""
        names = [one.name for one in fields(OrderResult)]
        return frame({name: [getattr(order, name) for order in self.pooled.orders] for name in names}, kind)

    def _repr_html_(self) -> str:
        """Return what a notebook shows of it: the answer, what is in doubt, the curve."""
        low, high = self.pooled.tir_fit.interval()
        first, last = self.pooled.high_point.interval()
        high_point = f"{self.pooled.high_point.value:.1f} deg"
        decided = self.why_no_decision or "no limit entered"
        if self.decision is not None:
            decided = f"{self.decision.state.words}, {self.decision.limit_as_written}"
        not_clear = {check.name: check.text for check in self.checks if check.state is not CheckState.CLEAR}
        return as_html(
            f"{self.setup.part or '(no part named)'}, {self.setup.surface}, {len(self.turns)} turns",
            {
                "TIR": f"{self.answer_tir_mm:.4f} mm ({low:.4f} mm to {high:.4f} mm, 95 % of this "
                "sweep alone)",
                "high point": high_point
                + (f" (95 %: {format_arc(first, last, 1)} deg)" if last - first < 360 else ""),
                "decision": decided,
                **not_clear,
            },
            () if self.few_places else self.curve_mm[::4].tolist(),
        )

    @property
    def answer_tir_mm(self) -> float:
        """The TIR that is the answer: the one decided on; of few places that of the readings."""
        if self.decision is not None and self.decision.quantity == Quantity.TIR:
            return self.decision.number.value
        return self.pooled.tir_raw_mm if self.few_places else self.pooled.tir_fit.value
