"""Form of a few measured points about a centre, its noise turned round by drawing.

max - min of N points about their own centre is a form of the POINTS: what lies between them is not in it.
Noise adds to it, and N points of one round hold no noise of their own, so that it comes from repeats or from
the last written digit. The question is turned round as for a curve: parts k f (one shape f) are tried with
drawn errors, through the same function of the points; own derivation.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analysis.numerics import Component, Floats, Limits, UncertainNumber, normal_quantile

Form = Callable[[Floats], Floats]
"""max - min of points about their centre, mm: readings (mm) of shape (m, N) in, (m,) out."""

LEVELS = (0.025, 0.05, 0.5, 0.95, 0.975)
FEWEST_POINTS = 5
"""Fewer points have no order 2 to tell from noise."""


@dataclass(frozen=True)
class Points:
    """Places and what was read there, the mean of all rounds where several were taken."""

    angle_rad: Floats
    reading_mm: Floats
    sigma_mm: float
    """Standard deviation of each: from rounds that repeat, and never less than its last written digit."""

    def form(self, about: Form | None = None, *, draws: int = 4000, seed: int = 1) -> UncertainNumber:
        """Return max - min about a centre, the least squares one unless asked otherwise, with its limits."""
        about = about or least_squares_form(self.angle_rad)
        return form_of_points(self.angle_rad, self.reading_mm, self.sigma_mm, about, draws=draws, seed=seed)


def form_of_points(
    angle_rad: Floats,
    reading_mm: Floats,
    sigma_mm: float,
    form: Form,
    *,
    draws: int = 4000,
    heights: int = 33,
    seed: int = 1,
) -> UncertainNumber:
    """Return the form of points, noise taken out, with its 95 % limits.

    Parameters: angles (rad) and readings (mm), shape (N,); standard deviation of one reading; the function
    that makes the form of them. Tried are ``heights`` heights with ``draws`` errors each. Without noise, or
    of fewer than five points, the form is what is seen.
    """
    seen = float(form(reading_mm[None, :])[0])
    errors = np.random.default_rng(seed).normal(0.0, sigma_mm, (draws, len(reading_mm)))
    tried = np.linspace(0.0, seen + 6.0 * sigma_mm, heights)
    found = []
    for shape in _shapes(angle_rad, reading_mm, sigma_mm):
        own = float(form(shape[None, :])[0])
        if sigma_mm > 0.0 and own > 0.0:
            share = np.array([float(np.mean(form(k / own * shape + errors) >= seen)) for k in tried])
            found.append([_height(tried, np.maximum.accumulate(share), level) for level in LEVELS])
    if not found:
        part = {"noise of the points": Component(sigma_mm * math.sqrt(2.0))}
        return UncertainNumber(seen, part, least=0.0)
    low, high, value = np.min(found, axis=0), np.max(found, axis=0), float(np.mean(found, axis=0)[2])
    u = float(high[4] - low[0]) / (2.0 * normal_quantile(0.975))
    limits = Limits((float(low[0]), float(high[4])), (float(low[1]), float(high[3])), u)
    return UncertainNumber(value, {"noise of the points": Component(u)}, limits=limits, least=0.0)


def least_squares_form(angle_rad: Floats) -> Form:
    """Return the function max - min about the least squares centre for points at these angles (limacon)."""
    design = np.stack([np.ones_like(angle_rad), np.cos(angle_rad), np.sin(angle_rad)], axis=1)
    left = np.eye(len(angle_rad)) - design @ np.linalg.pinv(design)
    return lambda reading_mm: np.asarray(np.ptp(reading_mm @ left, axis=1))


def _shapes(angle_rad: Floats, reading_mm: Floats, sigma_mm: float) -> list[Floats]:
    """Return shapes that could be behind the points: orders 2 and up shrunk by their noise, and as they are.

    Too smooth a shape and too rough a one have the part between them.
    """
    n = len(angle_rad)
    if n < FEWEST_POINTS:
        return []
    orders = np.arange(1, (n - 1) // 2 + 1)
    columns = np.stack([each(k * angle_rad) for k in orders for each in (np.cos, np.sin)], axis=1)
    fit = np.linalg.lstsq(np.column_stack([np.ones(n), columns]), reading_mm, rcond=None)[0][1:]
    pairs = fit.reshape(-1, 2).copy()
    pairs[0] = 0.0
    power = np.maximum((pairs**2).sum(axis=1), 1e-300)
    kept = np.maximum(0.0, 1.0 - 4.0 * sigma_mm**2 / n / power)
    return [np.asarray(columns @ (pairs * share[:, None]).ravel()) for share in (kept, np.ones_like(kept))]


def _height(tried: Floats, share: Floats, level: float) -> float:
    """Return the height at which so many draws reach as high as was seen; 0 where they do without any."""
    if share[0] >= level:
        return 0.0
    at = int(np.searchsorted(share, level))
    if at >= len(tried):
        return float(tried[-1])
    low, high = share[at - 1], share[at]
    return float(tried[at - 1] + (level - low) / (high - low) * (tried[at] - tried[at - 1]))
