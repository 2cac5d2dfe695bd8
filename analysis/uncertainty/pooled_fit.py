"""All turns of a sweep fitted together, with the lines that do not repeat with the turn.

A line is taken only where it foretells turns that it was not fitted to. How far the turns then still differ
is told beside the fit: that is what its covariance is widened by.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.errors import NotDecidable
from analysis.harmonics import (
    FitPlan,
    HarmonicFit,
    Line,
    find_lines,
    fit_harmonics,
    predicts,
)
from analysis.numerics import normal_quantile
from analysis.uncertainty.line_frequency import REACH, LineFrequencyPosterior, frequency_posterior
from analysis.uncertainty.turn_scatter import TurnScatter, turn_scatter
from analysis.uncertainty.wander import NEAR_ORDER_ONE, Wander, order_one_wander

Floats = NDArray[np.float64]

ROUNDING = 1e-10
"""Residuals below this share of the readings are rounding errors of the arithmetic."""
MOST_FOR_LINES = 20_000
"""Readings up to which lines that do not repeat with the turn are looked for."""
_TURNS_FOR_NEIGHBOURS = 4.5


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


def fit_turns_together(
    angle_rad: Floats, reading_mm: Floats, t_s: Floats, turn: NDArray[np.int64], plan: FitPlan
) -> PooledFit:
    """Return the fit over all turns with the lines that are believed, and how much turns then still differ.

    Parameters: unwrapped angles (rad), readings (mm), times (s) and the number of the turn of each, shape
    (n,). Raises NotDecidable where the readings do not carry the orders of the plan.
    """
    found = _found_lines(angle_rad, reading_mm, t_s, plan) if plan.lines else ()
    believed: dict[Line, float] = {}
    for line in found:
        prediction = predicts(
            angle_rad,
            reading_mm,
            t_s,
            turn,
            line,
            highest_order=plan.highest_order,
            added=plan.added_orders,
            known=tuple(believed),
        )
        if prediction.believed:
            believed[line] = prediction.ratio
    pooled = _with_lines(angle_rad, reading_mm, t_s, turn, plan, tuple(believed))
    ratios = tuple(believed.values())[: len(pooled.fit.lines)]
    return replace(pooled, predictions=ratios, doubted=len(ratios) < len(found))


def has_noise(reading: Floats, fit: HarmonicFit) -> bool:
    """Return whether the orders leave more than rounding errors, which are no lines."""
    return float(np.max(np.abs(fit.residual_mm))) > ROUNDING * float(np.max(np.abs(reading)) or 1.0)


def _found_lines(angle: Floats, reading: Floats, time: Floats, plan: FitPlan) -> tuple[Line, ...]:
    """Return the lines that stand out of the noise."""
    # Over very many readings what does not repeat averages out, and the search would take memory by them.
    if len(angle) > MOST_FOR_LINES:
        return ()
    highest, added = plan.highest_order, plan.added_orders
    plain = fit_harmonics(angle, reading, time, highest_order=highest, drift=plan.drift, added=added)
    if not has_noise(reading, plain):
        return ()
    turned = float(np.ptp(angle)) / (2 * math.pi)
    lines = find_lines(angle, reading, time, highest_order=highest, turns=turned, added=added)
    if lines and turned < _TURNS_FOR_NEIGHBOURS:
        # Another line so near is as well the first one's shape: both cannot be had from so few turns.
        lines = (lines[0], *(each for each in lines[1:] if abs(each.order - lines[0].order) > REACH))
    return lines


def _with_lines(
    angle: Floats,
    reading: Floats,
    time: Floats,
    turn: NDArray[np.int64],
    plan: FitPlan,
    lines: Sequence[Line],
) -> PooledFit:
    """Return the fit with these lines, the first at every frequency that it may have."""
    highest, drift, added = plan.highest_order, plan.drift, plan.added_orders
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
            )
            break
        except NotDecidable:
            # A line that the turns cannot tell from the part is worse than none.
            if not lines:
                raise
            lines = lines[:-1]
    posterior, residual, unknown = None, fit.residual_mm, 0
    if lines:
        turned = float(np.ptp(angle)) / (2 * math.pi)
        posterior = frequency_posterior(angle, reading, time, highest, lines, turns=turned, added=added)
        mean = posterior.mean_mm
        fit = replace(fit, cos_mm=mean[0::2], sin_mm=mean[1::2])
        residual, unknown = posterior.residual_mm, 3 * len(lines) + 4
    scatter = turn_scatter(angle, residual, turn, highest_order=highest, unknown=unknown)
    noise = fit.noise_mm if posterior is None else float(np.sqrt(residual @ residual / posterior.dof))
    slow = sum(line.order < NEAR_ORDER_ONE for line in lines)
    wander = order_one_wander(angle, residual, turn, lines=slow, noise_mm=noise)
    return PooledFit(fit, scatter.up_to(fit.highest_order).with_order_one(wander), wander, posterior)


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
    draws: Floats, covariance: Floats, scatter: TurnScatter, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Return draws and covariance with the scatter between turns put in, order by order."""
    widening = np.ones((len(draws), len(scatter.factor)))
    for dof in np.unique(scatter.dof[np.isfinite(scatter.dof)]):
        for factor in np.unique(scatter.factor[scatter.dof == dof]):
            here = (scatter.dof == dof) & (scatter.factor == factor)
            widening[:, here] = np.sqrt(factor * dof / rng.chisquare(dof, (len(draws), 1)))
    root = np.repeat(np.sqrt(scatter.factor), 2)
    return draws * np.repeat(widening, 2, axis=1), covariance * np.outer(root, root)
