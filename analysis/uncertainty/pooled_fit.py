"""All turns of a sweep fitted together, with the lines that do not repeat with the turn.

A line is taken only where it foretells turns that it was not fitted to. How far the turns then still differ
is told beside the fit: that is what its covariance is widened by.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.errors import NotDecidable
from analysis.harmonics import (
    NEAR_ORDER_ONE,
    BelievedLines,
    FitPlan,
    HarmonicFit,
    Line,
    SweepSums,
    TurnFits,
    TurnResiduals,
    at_their_orders,
    believed_lines,
    contrast_rows,
    fit_harmonics,
    order_rows,
)
from analysis.numerics import normal_quantile
from analysis.uncertainty.line_frequency import LineFrequencyPosterior, frequency_posterior
from analysis.uncertainty.steady_wander import left_by_wander
from analysis.uncertainty.turn_scatter import TurnScatter, turn_scatter
from analysis.uncertainty.wander import CLEAR_P, ORDERS_OF_A_WANDER, Wander, order_one_wander

Floats = NDArray[np.float64]

ROUNDING = 1e-10
"""Residuals below this share of the readings are rounding errors of the arithmetic."""
_FEWEST_TURNS_FREE = 3


@dataclass(frozen=True)
class PooledFit:
    """All turns fitted together."""

    fit: HarmonicFit
    scatter: TurnScatter
    wander: Wander
    posterior: LineFrequencyPosterior | None
    """The frequencies that a line may have, where a few turns hardly tell it."""
    predictions: tuple[float, ...] = ()
    """How much each line of the fit leaves of turns that it was not fitted to, 0 to 1."""
    doubted: bool = False
    """True where a line stands out that does not foretell what it was not fitted to."""
    wander_elsewhere: Floats | None = None
    """What one mm of wander at a turn's middle makes of orders 2..H, shape (2 (turns + 2), 2H); None unless
    order 1 was fitted turn by turn beside lines: its wander is then not in their covariance."""


def fit_turns_together(
    angle_rad: Floats,
    reading_mm: Floats,
    t_s: Floats,
    turn: NDArray[np.int64],
    plan: FitPlan,
    lines: BelievedLines | None = None,
    sums: SweepSums | None = None,
) -> PooledFit:
    """Return the fit over all turns with the lines that are believed, and how much turns then still differ.

    Parameters: unwrapped angles (rad), readings (mm), times (s) and the number of the turn of each, shape
    (n,); ``lines`` where they were looked for already; ``sums`` over all readings, where those handed over
    may be of some turns only: without lines the fit is made from them. Where order 1 wanders over three turns
    or more, lines are sought once more beside an order 1 that is another one on every turn. Raises
    NotDecidable where the readings do not carry the orders of the plan.
    """
    data = (angle_rad, reading_mm, t_s, turn)
    if sums is not None and sums.highest_added < max(plan.added_orders, default=0):
        sums = None  # orders so high are known of the readings themselves alone
    plain = _with_lines(*data, plan, BelievedLines(), sums)
    if not has_noise(reading_mm, plain.fit):
        return plain
    lines = lines or believed_lines(*data, plan)
    pooled = _with_lines(*data, plan, lines) if lines.lines else replace(plain, doubted=lines.doubted)
    turns = len(np.unique(turn))
    if plan.lines and turns >= _FEWEST_TURNS_FREE and (pooled.wander.p_value < CLEAR_P or pooled.doubted):
        beside_wander = believed_lines(*data, plan, order_one_free=True)
        if beside_wander.lines:
            return _with_lines(*data, plan, beside_wander)
    return pooled


def has_noise(reading: Floats, fit: HarmonicFit) -> bool:
    """Return whether the orders leave more than rounding errors, which are no lines."""
    left = fit.noise_mm * math.sqrt(fit.dof / max(len(reading), 1)) if fit.dof > 0 else 0.0
    return left > ROUNDING * float(np.max(np.abs(reading)) or 1.0)


def _with_lines(
    angle: Floats,
    reading: Floats,
    time: Floats,
    turn: NDArray[np.int64],
    plan: FitPlan,
    believed: BelievedLines,
    sums: SweepSums | None = None,
) -> PooledFit:
    """Return the fit with these lines, the first at every frequency that it may have."""
    highest, drift, added = plan.highest_order, plan.drift, plan.added_orders
    if sums is not None:
        fit = sums.fit(highest, drift=drift, added=added)
        return _compared(fit, sums.left_of(fit), noise_mm=fit.noise_mm)
    lines, free = believed.lines, believed.order_one_free and bool(believed.lines)
    beside = contrast_rows(angle, turn) if free else None
    while True:
        try:
            fit = fit_harmonics(
                angle,
                reading,
                time,
                highest_order=highest,
                drift=drift,
                lines=lines,
                free_frequency=False,
                added=added,
                beside=beside,
            )
            break
        except NotDecidable:
            # A line that the turns cannot tell from the part is worse than none.
            if not lines:
                raise
            lines = lines[:-1]
            free, beside = (free, beside) if lines else (False, None)
    posterior, residual, unknown = None, fit.residual_mm, 0
    if lines:
        turned = float(np.ptp(angle)) / (2 * np.pi)
        posterior = frequency_posterior(
            angle, reading, time, highest, lines, turns=turned, added=added, beside=beside
        )
        mean = posterior.mean_mm
        fit = replace(fit, cos_mm=mean[0::2], sin_mm=mean[1::2])
        residual, unknown = posterior.residual_mm, 3 * len(lines) + 4
    noise = fit.noise_mm if posterior is None else float(np.sqrt(residual @ residual / posterior.dof))
    slow = 0 if free else sum(line.order < NEAR_ORDER_ONE for line in lines)
    if free and posterior is not None:
        residual = residual + posterior.of_rows_mm
    pooled = _compared(
        fit,
        [TurnResiduals.of(angle, residual, turn, max(highest, ORDERS_OF_A_WANDER))],
        noise_mm=noise,
        unknown=unknown,
        slow=slow,
    )
    return replace(
        pooled,
        posterior=posterior,
        predictions=believed.ratios[: len(lines)],
        doubted=believed.doubted or len(lines) < len(believed.lines),
        wander_elsewhere=None
        if beside is None
        else _wander_elsewhere(angle, time, turn, plan, lines, beside),
    )


def _wander_elsewhere(
    angle: Floats,
    time: Floats,
    turn: NDArray[np.int64],
    plan: FitPlan,
    lines: Sequence[Line],
    beside: Floats,
) -> Floats:
    """Return what a wander that goes steadily from turn to turn makes of the orders above the first."""
    waves = [wave(line.order * angle) for line in lines for wave in (np.cos, np.sin)]
    of_orders = order_rows(angle, plan.highest_order, plan.added_orders)
    slope = (time - time.mean()) / (float(np.ptp(time)) or 1.0)
    own = slice(1, len(of_orders))
    left = left_by_wander(angle, turn, np.vstack([of_orders, slope, *waves, beside]), own)
    left[:, :2] = 0.0
    return at_their_orders(left, plan.highest_order, plan.added_orders, 1)


def _compared(
    fit: HarmonicFit, left: Iterable[TurnResiduals], *, noise_mm: float, unknown: int = 0, slow: int = 0
) -> PooledFit:
    """Return a fit with what it leaves of each turn, handed over in parts, held against the others."""
    highest = fit.consecutive_orders
    own = [(part.less_mean().fits(highest), part.fits(ORDERS_OF_A_WANDER)) for part in left]
    of_all, lowest = (TurnFits.joined(each) for each in zip(*own, strict=True))
    scatter = turn_scatter(of_all, unknown=unknown)
    wander = order_one_wander(lowest, lines=slow, noise_mm=noise_mm)
    return PooledFit(fit, scatter.up_to(fit.highest_order).with_order_one(wander), wander, None)


def second_moment(draws: Floats) -> Floats:
    """Return the mean square of draws of errors: their covariance, shape (2H, 2H) for (D, 2H)."""
    return np.asarray(draws.T @ draws / len(draws))


def central_moment(draws: Floats) -> Floats:
    """Return the covariance whose normal 95 % are those of the draws: a few far out do not make it."""
    low, high = np.quantile(draws, [0.025, 0.975], axis=0)
    moment = second_moment(draws)
    scale = (high - low) / (2 * normal_quantile(0.975)) / np.sqrt(np.maximum(np.diag(moment), 1e-300))
    return np.asarray(moment * np.outer(scale, scale))


def with_scatter(
    draws: Floats,
    covariance: Floats,
    scatter: TurnScatter,
    rng: np.random.Generator,
    *,
    wander: Wander,
    elsewhere: Floats | None = None,
) -> tuple[Floats, Floats]:
    """Return draws and covariance with the scatter between turns put in, order by order.

    ``elsewhere``, where order 1 was fitted turn by turn (``PooledFit.wander_elsewhere``): how far its mean
    over turns may be off by ``wander``, and what that leaves in the other orders, is put on top instead of
    widening what the lines leave open.
    """
    factor = scatter.factor.copy()
    if elsewhere is not None:
        factor[0] = 1.0
    widening = np.ones((len(draws), len(factor)))
    for dof in np.unique(scatter.dof[np.isfinite(scatter.dof)]):
        for each in np.unique(factor[scatter.dof == dof]):
            here = (scatter.dof == dof) & (factor == each)
            if each > 1.0:
                widening[:, here] = np.sqrt(each * dof / rng.chisquare(dof, (len(draws), 1)))
    root = np.repeat(np.sqrt(factor), 2)
    widened, moment = draws * np.repeat(widening, 2, axis=1), covariance * np.outer(root, root)
    if elsewhere is not None:
        dof = scatter.dof[0]
        late = np.sqrt(dof / rng.chisquare(dof, (len(draws), 1))) if np.isfinite(dof) else 1.0
        widened[:, :2] += wander.mean_mm * rng.standard_normal((len(draws), 2)) * late
        widened += wander.mm * (rng.standard_normal((len(draws), len(elsewhere))) @ elsewhere) * late
        moment = moment + wander.mm**2 * (elsewhere.T @ elsewhere)
        moment[[0, 1], [0, 1]] += wander.mean_mm**2
    return widened, moment
