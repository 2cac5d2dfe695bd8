"""All turns of a sweep fitted together, with the lines that do not repeat with the turn.

How far the turns then still differ is told beside the fit: that is what its covariance is widened by.
"""

import math
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from analysis.errors import NotDecidable
from analysis.harmonics import (
    CLEAR_P,
    LIKELY_P,
    MOST_LINES,
    FitPlan,
    HarmonicFit,
    Line,
    find_lines,
    fit_harmonics,
)
from analysis.numerics import normal_quantile
from analysis.uncertainty.line_frequency import REACH, LineFrequencyPosterior, frequency_posterior
from analysis.uncertainty.turn_scatter import TurnScatter, turn_scatter

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
    posterior: LineFrequencyPosterior | None
    """The frequencies that a line may have, where a few turns hardly tell it."""


def fit_turns_together(
    angle_rad: Floats, reading_mm: Floats, t_s: Floats, turn: NDArray[np.int64], plan: FitPlan
) -> PooledFit:
    """Return the fit over all turns with the lines it needs, and how much turns then still differ.

    Parameters: unwrapped angles (rad), readings (mm), times (s) and the number of the turn of each, shape
    (n,). Raises NotDecidable where the readings do not carry the orders of the plan.
    """
    fitted = partial(_with_lines, angle_rad, reading_mm, t_s, turn, plan)
    if not plan.lines:
        return fitted(None)
    clear = fitted(CLEAR_P)
    if clear.scatter.inflated and len(clear.fit.lines) < MOST_LINES:
        # Two or three turns show a slow line hardly at all, yet it bends the orders: where turns differ and
        # a line explains it, the line is believed on less.
        likely = fitted(LIKELY_P)
        if not likely.scatter.inflated:
            return likely
    return clear


def has_noise(reading: Floats, fit: HarmonicFit) -> bool:
    """Return whether the orders leave more than rounding errors, which are no lines."""
    return float(np.max(np.abs(fit.residual_mm))) > ROUNDING * float(np.max(np.abs(reading)) or 1.0)


def _with_lines(
    angle: Floats,
    reading: Floats,
    time: Floats,
    turn: NDArray[np.int64],
    plan: FitPlan,
    p_value: float | None,
) -> PooledFit:
    """Return the fit with the lines found at this level of chance; None looks for none."""
    highest, drift = plan.highest_order, plan.drift
    turned = float(np.ptp(angle)) / (2 * math.pi)
    lines: tuple[Line, ...] = ()
    # Over very many readings what does not repeat averages out, and the search would take memory by them.
    if (
        p_value is not None
        and len(angle) <= MOST_FOR_LINES
        and has_noise(reading, fit_harmonics(angle, reading, time, highest_order=highest, drift=drift))
    ):
        lines = find_lines(angle, reading, time, highest_order=highest, turns=turned, p_value=p_value)
    if lines and turned < _TURNS_FOR_NEIGHBOURS:
        # Another line so near is as well the first one's shape: both cannot be had from so few turns.
        lines = (lines[0], *(each for each in lines[1:] if abs(each.order - lines[0].order) > REACH))
    while True:
        try:
            fit = fit_harmonics(
                angle, reading, time, highest_order=highest, drift=drift, lines=lines, free_frequency=False
            )
            break
        except NotDecidable:
            # A line that the turns cannot tell from the part is worse than none.
            if not lines:
                raise
            lines = lines[:-1]
    posterior, residual, unknown = None, fit.residual_mm, 0
    if lines:
        posterior = frequency_posterior(angle, reading, time, highest, lines, turns=turned)
        mean = posterior.mean_mm
        fit = replace(fit, cos_mm=mean[0::2], sin_mm=mean[1::2])
        residual, unknown = posterior.residual_mm, 3 * len(lines) + 4
    scatter = turn_scatter(angle, residual, turn, highest_order=highest, unknown=unknown)
    return PooledFit(fit, scatter, posterior)


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
