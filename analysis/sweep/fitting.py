"""One sweep fitted: the pool, its fit with uncertainty, and what both say of gauge, budget and closure."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Capture, Floats, Samples, holes_in_sweep
from analysis.capture.events import ClosingReading
from analysis.diagnosis import (
    BumpSearch,
    GaugeFacts,
    GaugeLag,
    find_bumps,
    noise_floor,
    nothing_found,
)
from analysis.harmonics import (
    AddedOrders,
    BelievedLines,
    FitPlan,
    HarmonicFit,
    orders_and_lines,
)
from analysis.numerics import Component
from analysis.results import TurnResult
from analysis.setup import Hole
from analysis.sweep.lateness import lag_of_gauge
from analysis.sweep.pooling import PooledTurns
from analysis.sweep.quantities import Closure, closure
from analysis.uncertainty import (
    FEW_VALUES,
    SweepUncertainty,
    other_lines,
    tir_interval,
    together_mm,
    widen_for_uneven_turning,
)


@dataclass(frozen=True)
class FittedSweep:
    """Everything that the numbers, checks and decision of one sweep are made from."""

    capture: Capture
    pool: PooledTurns
    gauge_facts: GaugeFacts
    plan: FitPlan
    """What was fitted, of as many orders as the readings carried."""
    fit: HarmonicFit
    uncertainty: SweepUncertainty | None
    """None where so few readings leave nothing to judge scatter by."""
    closure_mm: float | None
    """Median over turns; of a few places only what was typed when it came back."""
    other: Mapping[str, Component]
    """Budget lines beside the random one."""
    seed: int
    search: BumpSearch
    """Narrow bumps of the pool, and the form beside them."""
    above: AddedOrders
    """What there is above the highest order, and what would have been seen."""
    closure_per_noise: float
    """Standard deviation of the closure for readings of noise 1."""
    lag: GaugeLag = field(default_factory=GaugeLag)
    """How late the gauge is; where that is known, the angles here are turned back by it."""

    @property
    def turns(self) -> tuple[TurnResult, ...]:
        """The plain numbers of each turn."""
        return self.pool.results

    @property
    def few_places(self) -> bool:
        """True where there are so few places that the readings themselves are decided on."""
        return self.plan.few_places

    @property
    def u_angle_rad(self) -> float:
        """Standard uncertainty of every angle together.

        The lag's own is in it, and where in its count the mark stands.
        """
        common = 0.0 if self.lag.found else self.lag.u_turned_rad
        return math.hypot(self.u_own_angle_rad, common)

    @property
    def u_own_angle_rad(self) -> float:
        """The same of this sweep by itself, without what its gauge does to every sweep at this speed alike.

        A declared delay that is off turns sweeps at one speed by one angle; one found here is this sweep's.
        """
        counts = self.capture.counts_per_turn
        within_count = 2.0 * math.pi / counts / math.sqrt(12.0) if counts else 0.0
        found = self.lag.u_turned_rad if self.lag.found else 0.0
        return math.hypot(self.capture.u_angle_rad, found, within_count)

    @property
    def noise_mm(self) -> float:
        """Residual standard deviation of the fit; 0 where no degree of freedom is left."""
        return self.fit.noise_mm if math.isfinite(self.fit.noise_mm) else 0.0

    @cached_property
    def local_noise_mm(self) -> float:
        """Noise between neighbouring readings, which neither a bump nor a jump inflates."""
        reading, step = self.pool.values.reading_mm, self.gauge_facts.resolution_mm
        # The form's slope is no noise; but where a step bends the form, the readings alone show less.
        beside_form = noise_floor(reading - self.search.form_mm, self.noise_mm, step)
        return noise_floor(reading, beside_form, step)

    @cached_property
    def mean_left_mm(self) -> tuple[NDArray[np.int64], Floats]:
        """Turns by number, and the mean of what the fit leaves of each, lines taken off, shape (turns,) each.

        All turns, but only those kept where the fit was made from readings.
        """
        if len(self.fit.residual_mm):
            turns, at, number = np.unique(self.pool.turn, return_inverse=True, return_counts=True)
            return turns, np.asarray(np.bincount(at, self.fit.residual_mm) / number, np.float64)
        left = [part.mean_mm for part in self.pool.sums.left_of(self.fit)]
        return np.arange(len(self.pool.counted_turns)), np.concatenate(left)

    @property
    def digit_mm(self) -> float:
        """Last written digit of what was read at few places."""
        return self.capture.resolution_mm or self.gauge_facts.resolution_mm

    @property
    def other_u_mm(self) -> float:
        """Budget lines beside the random one, in quadrature."""
        return together_mm(self.other)

    @property
    def detrended_mm(self) -> Floats:
        """Readings kept with the fitted drift taken off, shape (n,)."""
        return _detrended_mm(self.pool.values, self.fit)


def fit_turns(
    capture: Capture,
    pool: PooledTurns,
    seed: int,
    more: Mapping[str, Component] = MappingProxyType({}),
    search: BumpSearch | None = None,
    lag: GaugeLag | None = None,
) -> FittedSweep:
    """Fit a pool of turns; ``more`` lines join the budget; ``search`` where bumps were looked for already.

    ``lag``: how late the gauge is, by which angles are turned back already where it is known; None: standing.

    Raises BadInput for orders asked for that the readings do not carry.
    """
    values, lag = pool.values, lag or GaugeLag()
    gauge = pool.passed.gauge.gauge_facts(capture.setup.turns_planned)
    plain = pool.plain_fit
    plan = replace(pool.plan, highest_order=plain.highest_order)
    given = search
    search = given or search_bumps(capture, pool, plain, gauge.resolution_mm)
    above, lines = _orders_and_lines(pool, plan, search, gauge.resolution_mm)
    if above.orders and given is None:
        # Lobes hide bumps, and bumps are made of high orders: each is looked for beside the other.
        alone = search.bumps
        search = search_bumps(capture, pool, plain, gauge.resolution_mm, added=above.orders)
        if len(search.bumps) > len(alone):
            above, lines = _orders_and_lines(pool, plan, search, gauge.resolution_mm)
    plan = replace(plan, added_orders=above.orders)
    closed = _closure(capture, pool, search)
    other = other_lines(
        tir_mm=plain.tir_mm,
        resolution_mm=gauge.resolution_mm,
        values=pool.number,
        closure_mm=closed.mm if closed and plan.one_turn else None,
        gauge_angle_deg=capture.setup.gauge_angle_deg,
        u_angle_rad=capture.u_angle_rad,
        values_per_turn=math.inf if plan.few_places else pool.values_per_turn,
    )
    other = {**other, **more}
    uncertainty = None
    if not (plan.few_places and plain.dof < 1):
        uncertainty = tir_interval(
            values.angle_rad,
            values.reading_mm,
            values.t_s,
            pool.turn,
            plan=plan,
            resolution_mm=gauge.resolution_mm,
            other=other,
            lines=lines,
            sums=None if plan.few_places else pool.sums,
            seed=seed,
        )
        if plan.drift and not plan.even_angles:
            uncertainty = widen_for_uneven_turning(
                uncertainty,
                [turn.tir_fit_mm for turn in pool.results],
                [turn.tir_first_mm for turn in pool.results],
            )
    return FittedSweep(
        capture,
        pool,
        replace(gauge, lag_s=lag.lag_s) if lag.known else gauge,
        plan,
        uncertainty.fit if uncertainty else plain,
        uncertainty,
        closed.mm if closed else None,
        other,
        seed,
        search,
        above,
        closed.per_noise if closed else 0.0,
        lag,
    )


def _orders_and_lines(
    pool: PooledTurns, plan: FitPlan, search: BumpSearch, resolution_mm: float
) -> tuple[AddedOrders, BelievedLines | None]:
    """Return lobes above the highest order, beside bumps that repeat so that a ridge stays one, and lines."""
    if pool.orders_asked:
        return AddedOrders((), math.inf, plan.highest_order), None
    values = pool.values
    used = ~search.inside if any(bump.repeats for bump in search.bumps) else None
    return orders_and_lines(
        values.angle_rad,
        values.reading_mm,
        values.t_s,
        pool.turn,
        plan,
        resolution_mm=resolution_mm,
        used=used,
        sums=pool.sums,
    )


def lag_of_pool(capture: Capture, pool: PooledTurns) -> GaugeLag:
    """Return how late the gauge is, from turns put together at the angles as they were counted."""
    if pool.plan.few_places:
        return GaugeLag()
    fit, values = pool.plain_fit, pool.values
    search = search_bumps(capture, pool, fit, capture.resolution_mm)
    if any(bump.repeats for bump in search.bumps):
        # No order follows a narrow bump: what is left of it on every turn would pass for a lag.
        values = values.take(~search.inside)
    path = pool.passed.segment.path
    return lag_of_gauge(capture, pool.turns, values, path, fit.highest_order, drift=pool.plan.drift)


def _detrended_mm(values: Samples, fit: HarmonicFit) -> Floats:
    drift = fit.drift_mm_per_s or 0.0
    return np.asarray(values.reading_mm - drift * (values.t_s - values.t_s[0]))


def search_bumps(
    capture: Capture,
    pool: PooledTurns,
    fit: HarmonicFit,
    resolution_mm: float,
    holes: Sequence[Hole] | None = None,
    *,
    added: Sequence[int] = (),
) -> BumpSearch:
    """Return the narrow bumps of a pool; ``holes`` in place of those the set-up declares.

    Orders ``added`` above the highest belong to the form.
    """
    values = pool.values
    if pool.plan.few_places:
        return nothing_found(values.reading_mm)
    beside = tuple(holes_in_sweep(capture.setup) if holes is None else holes)
    key = (fit.drift_mm_per_s, resolution_mm, beside, tuple(added))
    if key not in pool.searches:
        pool.searches[key] = find_bumps(
            values.angle_rad,
            _detrended_mm(values, fit),
            pool.turn,
            resolution_mm=resolution_mm,
            holes=beside,
            lobes=added,
        )
    return pool.searches[key]


def _closure(capture: Capture, pool: PooledTurns, search: BumpSearch) -> Closure | None:
    """Return the median closure of the turns, with the form taken off and readings on bumps left out."""
    if pool.plan.few_places:
        typed = [one.event.closing_mm for one in capture.events if isinstance(one.event, ClosingReading)]
        return Closure(typed[0], 0.0) if typed else None
    if pool.values_per_turn < FEW_VALUES:
        return None  # the first and last reading of a turn stand too far from its mark
    angle, turn = pool.values.angle_rad, pool.turn
    level = pool.values.reading_mm - search.form_mm
    each = []
    for k in np.unique(turn):
        mine = (turn == k) & ~search.inside
        if mine.sum() >= FEW_VALUES // 2:
            each.append(closure(angle[mine], level[mine]))
    if not each:
        return None
    # The median of n normal numbers scatters by up to sqrt(pi / 2) more than their mean.
    spread = math.sqrt((math.pi / 2 if len(each) > 2 else 1.0) / len(each))
    return Closure(
        float(np.median([one.mm for one in each])), spread * float(np.median([one.per_noise for one in each]))
    )
