"""One sweep fitted: the pool, its fit with uncertainty, and what both say of gauge, budget and closure."""

import math
from dataclasses import dataclass, replace

import numpy as np

from analysis.budget import FEW_VALUES, other_lines, together_mm
from analysis.errors import BadInput, NotDecidable
from analysis.gauge import GaugeFacts, gauge_facts
from analysis.harmonics import HarmonicFit, fit_harmonics
from analysis.jumps import noise_floor
from analysis.lag import Lag, lag_from_speeds
from analysis.numbers import closure_mm
from analysis.pooling import Pool, fit_as_far_as_it_goes
from analysis.results import BudgetLine, TurnResult
from analysis.samples import Capture, Floats
from analysis.typed import MOST_PLACES
from analysis.uncertainty import SweepUncertainty, tir_interval


@dataclass(frozen=True)
class Fitted:
    """Everything that the numbers, checks and decision of one sweep are made from."""

    capture: Capture
    pool: Pool
    turns: tuple[TurnResult, ...]
    facts: GaugeFacts
    stepped: bool
    """True where there are so few places that the readings themselves are decided on."""
    fit: HarmonicFit
    uncertainty: SweepUncertainty | None
    """None where so few readings leave nothing to judge scatter by."""
    closure_mm: float | None
    """Median over turns; of a stepped set only what was typed when it came back."""
    other: tuple[BudgetLine, ...]
    """Budget lines beside the random one."""
    seed: int
    lag: Lag | None = None
    """What speed changes tell of a late gauge; None where too little is there to tell."""

    @property
    def u_angle_rad(self) -> float:
        """Standard uncertainty of every angle together: a lag that was not taken out is in it."""
        late = self.lag.turned_rad if self.lag is not None and self.lag.clear else 0.0
        return math.hypot(self.capture.u_angle_rad, late)

    @property
    def noise_mm(self) -> float:
        """Residual standard deviation of the fit; 0 where no degree of freedom is left."""
        return self.fit.noise_mm if math.isfinite(self.fit.noise_mm) else 0.0

    @property
    def local_noise_mm(self) -> float:
        """Noise between neighbouring readings, which neither a bump nor a jump inflates."""
        return noise_floor(self.pool.values.reading_mm, self.noise_mm)

    @property
    def digit_mm(self) -> float:
        """Last written digit of a stepped set."""
        return self.capture.resolution_mm or self.facts.resolution_mm

    @property
    def other_u_mm(self) -> float:
        """Budget lines beside the random one, in quadrature."""
        return together_mm(list(self.other))

    @property
    def detrended_mm(self) -> Floats:
        """Readings of the pool with the fitted drift taken off, shape (n,)."""
        values = self.pool.values
        drift = self.fit.drift_mm_per_s or 0.0
        return np.asarray(values.reading_mm - drift * (values.t_s - values.t_s[0]))


def fit_pool(
    capture: Capture,
    pool: Pool,
    turns: tuple[TurnResult, ...],
    seed: int,
    more: tuple[BudgetLine, ...] = (),
) -> Fitted:
    """Fit a pool of turns; ``more`` lines join the budget.

    Raises BadInput for orders asked for that the readings do not carry.
    """
    values = pool.values
    facts = gauge_facts(capture.samples, capture.resolution_mm)
    stepped = pool.places <= MOST_PLACES
    drift = len(turns) >= 2 and not stepped
    try:
        if pool.orders_asked:
            plain = fit_harmonics(
                values.angle_rad,
                values.reading_mm,
                values.t_s,
                highest_order=pool.highest_order,
                drift=drift,
            )
        else:
            plain = fit_as_far_as_it_goes(
                values.angle_rad, values.reading_mm, pool.highest_order, values.t_s if drift else None
            )
    except NotDecidable as error:
        if pool.orders_asked:
            raise BadInput(str(error)) from error
        raise
    closure = _closure(capture, pool, stepped)
    other = other_lines(
        tir_mm=plain.tir_mm,
        resolution_mm=facts.resolution_mm,
        values=len(values),
        closure_mm=closure if len(turns) == 1 and not stepped else None,
        gauge_angle_deg=capture.setup.gauge_angle_deg,
        u_angle_rad=capture.u_angle_rad,
        values_per_turn=math.inf if stepped else len(values) / len(turns),
    )
    other = [*other, *more]
    told = None
    if not (stepped and plain.dof < 1):
        told = tir_interval(
            values.angle_rad,
            values.reading_mm,
            values.t_s,
            pool.turn,
            highest_order=plain.highest_order,
            resolution_mm=facts.resolution_mm,
            other_u_mm=together_mm(other),
            seed=seed,
        )
    lag = None if stepped else _lag(capture, pool, plain.highest_order, drift)
    return Fitted(
        capture,
        pool,
        turns,
        replace(facts, lag_s=lag.lag_s) if lag is not None and lag.known else facts,
        stepped,
        told.fit if told else plain,
        told,
        closure,
        tuple(other),
        seed,
        lag,
    )


def _lag(capture: Capture, pool: Pool, highest_order: int, drift: bool) -> Lag | None:
    """Return what speed changes tell of a late gauge, from the stretch that the turns lie in."""
    if capture.angle_source != "encoder" or not capture.timed or not capture.counts_per_turn:
        return None
    s, values = capture.samples, pool.values
    here = s.segment == values.segment[-1]
    mine = values.segment == values.segment[-1]
    return lag_from_speeds(
        s.t_s[here],
        s.angle_rad[here],
        values.t_s[mine],
        values.reading_mm[mine],
        highest_order=highest_order,
        drift=drift,
    )


def _closure(capture: Capture, pool: Pool, stepped: bool) -> float | None:
    if stepped:
        typed = [event["closing_mm"] for event in capture.events if event.get("event") == "closing"]
        return float(typed[0]) if typed else None
    if len(pool.values) < FEW_VALUES * len(pool.turns):
        return None  # the first and last reading of a turn stand too far from its mark
    angle, reading = pool.values.angle_rad, pool.values.reading_mm
    turns = range(len(pool.turns))
    return float(np.median([closure_mm(angle[pool.turn == k], reading[pool.turn == k]) for k in turns]))
