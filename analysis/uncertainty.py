"""How well the TIR, the high point and each order of a sweep are known.

The interval comes from one fit over all turns, widened where turns differ by more than the noise, and
turned round by inversion (see the inversion module). Checked by simulation: tests/analysis/test_honesty.py
and tests/campaigns/honesty.py print the coverage reached.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import NotDecidable
from analysis.harmonics import HarmonicFit, fit_harmonics
from analysis.inversion import curves, grid_points, invert_first, invert_range
from analysis.lines import CLEAR_P, LIKELY_P, MOST_LINES, find_lines
from analysis.propagation import coverage_interval, propagate
from analysis.quantiles import f_upper_tail, normal_quantile, t_quantile
from analysis.requantised import LIMITED_BELOW, WHITE_FROM, noise_behind_steps, requantised_errors
from analysis.scatter import NOT_TESTED, TurnScatter, turn_scatter

__all__ = [
    "FirstOrder",
    "SweepUncertainty",
    "first_interval",
    "more_turns_would_decide",
    "propagate",
    "tir_interval",
]

Floats = NDArray[np.float64]
TWO_PI = 2 * math.pi

DRAWS = 4000
MOST_FOR_LINES = 20_000
"""Readings up to which lines that do not repeat with the turn are looked for."""
_CLEAR_P = 0.001
_LIMITED_STEPS = 0.8
_MOST_TURNS = 100


@dataclass(frozen=True, slots=True)
class RangeLimits:
    """An estimate of the TIR with its limits, mm."""

    low_mm: float
    low_one_sided_mm: float
    estimate_mm: float
    high_one_sided_mm: float
    high_mm: float


@dataclass(frozen=True)
class SweepUncertainty:
    """One sweep, all turns pooled, with what is known of how well. mm, rad, s."""

    fit: HarmonicFit
    """Fit over all turns, lines included."""
    covariance_mm2: Floats
    """Covariance of a1, b1, a2, ... after widening, shape (2H, 2H)."""
    dof: float
    """Degrees of freedom of that covariance."""
    turns: int
    """Turns pooled."""
    inflated: bool
    """Whether turns differ by more than the noise, so that the covariance was widened."""
    scatter: TurnScatter
    """The comparison of the turns."""
    branch: str
    """``white``, ``lines``, ``requantised`` or ``resolution-limited``."""
    noise_mm: float
    """Standard deviation of one reading about the fit."""
    tir_mm: float
    """Max - min of the part's orders 1..H, bias taken out."""
    low_mm: float
    """Lower end of the two-sided 95 % interval."""
    high_mm: float
    """Upper end of the two-sided 95 % interval."""
    low_one_sided_mm: float
    """The TIR is at least this, 95 % one-sided."""
    high_one_sided_mm: float
    """The TIR is at most this, 95 % one-sided."""
    random_half_width_low_mm: float
    """Estimate less lower end, from noise and scatter alone."""
    random_half_width_high_mm: float
    """Upper end less estimate, from noise and scatter alone."""
    random_one_sided_low_mm: float
    """Estimate less one-sided lower limit, from noise and scatter alone."""
    random_one_sided_high_mm: float
    """One-sided upper limit less estimate, from noise and scatter alone."""
    other_u_mm: float
    """Standard uncertainty of the budget lines that are not random."""
    resolution_half_width_mm: float
    """What steps coarser than the noise add to each half-width; 0 where they do not limit."""
    high_point_rad: float
    """Where the curve is highest, [0, 2 pi)."""
    high_point_low_rad: float
    """Lower end of its 95 % interval, at most ``high_point_rad``; may be negative."""
    high_point_high_rad: float
    """Upper end of its 95 % interval; may exceed 2 pi."""
    u_coefficients_mm: Floats
    """Standard uncertainty of a_n and b_n, shape (H, 2)."""
    u_amplitude_mm: Floats
    """u(A_n), shape (H,)."""
    u_phase_rad: Floats
    """u(arg z_n), shape (H,); at most pi."""
    u_high_place_rad: Floats
    """u of the high place of each order: u(phase) / n, shape (H,)."""
    first: "FirstOrder"
    """tir_first with its interval, and the high side."""
    words: tuple[str, ...]
    """Remarks for a person, such as ``resolution limits this``."""


@dataclass(frozen=True, slots=True)
class FirstOrder:
    """tir_first = 2 A_1 and its high side. mm, rad."""

    tir_first_mm: float
    u_mm: float
    """Standard uncertainty of tir_first."""
    low_mm: float
    high_mm: float
    low_one_sided_mm: float
    high_one_sided_mm: float
    high_side_rad: float
    """arg z_1 in [0, 2 pi)."""
    u_high_side_rad: float
    high_side_low_rad: float
    """Lower end of its 95 % interval; may be negative."""
    high_side_high_rad: float
    """Upper end of its 95 % interval; may exceed 2 pi."""


def tir_interval(
    angle_rad: ArrayLike,
    reading_mm: ArrayLike,
    t_s: ArrayLike,
    turn: ArrayLike,
    *,
    highest_order: int,
    resolution_mm: float = 0.0,
    other_u_mm: float = 0.0,
    seed: int = 1,
) -> SweepUncertainty:
    """Return the TIR of the part over all turns of a sweep, bias taken out, with its 95 % interval.

    Parameters: unwrapped angles (rad), readings (mm), one per NEW gauge value, times (s) and the number of
    the turn of each, shape (n,); ``resolution_mm`` step of the reading, 0 where not known; ``other_u_mm``
    the budget lines that are not random, in quadrature. The same seed gives the same answer. Raises
    NotDecidable where the readings do not carry these orders or leave nothing to judge the noise by.
    """
    angle = np.ascontiguousarray(angle_rad, np.float64)
    reading = np.ascontiguousarray(reading_mm, np.float64)
    time = np.ascontiguousarray(t_s, np.float64)
    turns = np.asarray(turn, np.int64)
    count = len(np.unique(turns))
    rng = np.random.default_rng(seed)
    words: list[str] = []

    fit, scatter = _fit(angle, reading, time, turns, highest_order)
    if fit.dof < 1:
        raise NotDecidable(
            f"{len(angle)} readings for {len(angle) - fit.dof} unknowns leave nothing to judge the noise by: "
            "turn on, or ask for fewer orders"
        )
    behind = noise_behind_steps(fit.noise_mm, resolution_mm)
    limited = resolution_mm > 0 and behind < LIMITED_BELOW * resolution_mm
    coarse = resolution_mm > 0 and not limited and behind < WHITE_FROM * resolution_mm
    if limited:
        scatter = NOT_TESTED
    covariance, dof = fit.covariance_mm2 * scatter.factor, float(fit.dof)
    if scatter.inflated:
        dof = float(scatter.dof)
        words.append(f"turns differ by {math.sqrt(scatter.factor):.1f} times what the noise explains")
    branch = "lines" if fit.lines else "white"
    draws = _draws(covariance, dof, rng)
    if coarse:
        branch = "requantised"
        errors = requantised_errors(fit, angle, resolution_mm, rng)
        draws = errors[rng.integers(0, len(errors), DRAWS)]
        covariance = errors.T @ errors / len(errors)
    limits = _tir_limits(fit, covariance, dof, draws)
    lows, highs = _half_widths(limits)
    if limited:
        branch = "resolution-limited"
        words.append("resolution limits this")
    steps = _LIMITED_STEPS * resolution_mm if limited else 0.0
    both_sided = math.hypot(steps, normal_quantile(0.975) * other_u_mm)
    one_sided = math.hypot(steps, normal_quantile(0.95) * other_u_mm)
    high_point = _high_point(fit, draws)
    u_coefficients = np.sqrt(np.diag(covariance)).reshape(-1, 2)
    u_amplitude, u_phase = _polar(fit, covariance)
    return SweepUncertainty(
        fit=fit,
        covariance_mm2=covariance,
        dof=dof,
        turns=count,
        inflated=scatter.inflated,
        scatter=scatter,
        branch=branch,
        noise_mm=fit.noise_mm,
        tir_mm=limits.estimate_mm,
        low_mm=max(0.0, limits.estimate_mm - math.hypot(lows[0], both_sided)),
        high_mm=limits.estimate_mm + math.hypot(highs[0], both_sided),
        low_one_sided_mm=max(0.0, limits.estimate_mm - math.hypot(lows[1], one_sided)),
        high_one_sided_mm=limits.estimate_mm + math.hypot(highs[1], one_sided),
        random_half_width_low_mm=lows[0],
        random_half_width_high_mm=highs[0],
        random_one_sided_low_mm=lows[1],
        random_one_sided_high_mm=highs[1],
        other_u_mm=other_u_mm,
        resolution_half_width_mm=steps,
        high_point_rad=fit.high_point_rad,
        high_point_low_rad=high_point[0],
        high_point_high_rad=high_point[1],
        u_coefficients_mm=u_coefficients,
        u_amplitude_mm=u_amplitude,
        u_phase_rad=u_phase,
        u_high_place_rad=u_phase / np.arange(1, len(u_phase) + 1),
        first=first_interval(fit, covariance, dof, draws),
        words=tuple(words),
    )


def _fit(
    angle: Floats, reading: Floats, time: Floats, turn: NDArray[np.int64], highest: int
) -> tuple[HarmonicFit, TurnScatter]:
    """Return the fit over all turns with the lines it needs, and how much turns then still differ."""
    fit, scatter = _fit_with_lines(angle, reading, time, turn, highest, CLEAR_P)
    if scatter.inflated and len(fit.lines) < MOST_LINES:
        # Two or three turns show a slow line hardly at all, yet it bends the orders: where turns differ and
        # a line explains it, the line is believed on less.
        other = _fit_with_lines(angle, reading, time, turn, highest, LIKELY_P)
        if not other[1].inflated:
            return other
    return fit, scatter


def _fit_with_lines(
    angle: Floats, reading: Floats, time: Floats, turn: NDArray[np.int64], highest: int, p_value: float
) -> tuple[HarmonicFit, TurnScatter]:
    drift = len(np.unique(turn)) >= 2
    turns = float(np.ptp(angle)) / TWO_PI
    # Over very many readings what does not repeat averages out, and the search would take memory by them.
    lines = (
        find_lines(angle, reading, time, highest_order=highest, turns=turns, p_value=p_value)
        if len(angle) <= MOST_FOR_LINES
        else ()
    )
    while True:
        try:
            fit = fit_harmonics(angle, reading, time, highest_order=highest, drift=drift, lines=lines)
            break
        except NotDecidable:
            # A line that the turns cannot tell from the part is worse than none.
            if not lines:
                raise
            lines = lines[:-1]
    scatter = turn_scatter(angle, fit.residual_mm, turn, highest_order=highest, lines=len(fit.lines))
    return fit, scatter


def _draws(covariance: Floats, dof: float, rng: np.random.Generator) -> Floats:
    """Return draws of Student's t with this covariance as its scale, shape (DRAWS, 2H)."""
    values, axes = np.linalg.eigh(covariance)
    root = axes * np.sqrt(np.maximum(values, 0.0))
    normal = rng.standard_normal((DRAWS, len(covariance))) @ root.T
    return np.asarray(normal / np.sqrt(rng.chisquare(dof, (DRAWS, 1)) / dof))


def _shapes(fit: HarmonicFit, covariance: Floats, dof: float) -> list[Floats]:
    """Return parts that could be behind the fit: the clear orders only, every order shrunk, and all of it.

    Too smooth a shape has equal peaks where the part has one, too rough a shape the reverse: between them
    lies the part.
    """
    pairs = fit.coefficients_mm.reshape(-1, 2)
    power = fit.amplitude_mm**2
    variance = np.maximum(np.diag(covariance).reshape(-1, 2).mean(axis=1), 1e-300)
    by_chance = np.array([f_upper_tail(each, 2, dof) for each in power / (2 * variance)])
    clear = by_chance < _CLEAR_P
    clear[int(np.argmin(by_chance))] = True
    shrunk = np.maximum(0.0, 1 - 2 * variance / np.maximum(power, 1e-300))
    return [(pairs * kept[:, None]).ravel() for kept in (clear, shrunk, np.ones_like(shrunk)) if kept.any()]


def _tir_limits(fit: HarmonicFit, covariance: Floats, dof: float, draws: Floats) -> RangeLimits:
    if fit.tir_mm == 0.0:
        return RangeLimits(0.0, 0.0, 0.0, 0.0, 0.0)
    heights = np.ptp(curves(draws, grid_points(fit.highest_order)), axis=1)
    found = np.array(
        [invert_range(fit.tir_mm, shape, draws, heights) for shape in _shapes(fit, covariance, dof)]
    )
    low, high = found.min(axis=0), found.max(axis=0)
    # The rough shape is there for the upper limit: the estimate is the mean of the other two.
    estimate = float(found[:-1, 2].mean())
    return RangeLimits(
        low_mm=min(float(low[0]), estimate),
        low_one_sided_mm=min(float(low[1]), estimate),
        estimate_mm=estimate,
        high_one_sided_mm=max(float(high[3]), estimate),
        high_mm=max(float(high[4]), estimate),
    )


def _half_widths(limits: RangeLimits) -> tuple[list[float], list[float]]:
    middle = limits.estimate_mm
    return (
        [middle - limits.low_mm, middle - limits.low_one_sided_mm],
        [limits.high_mm - middle, limits.high_one_sided_mm - middle],
    )


def _high_point(fit: HarmonicFit, draws: Floats) -> tuple[float, float]:
    """Return the 95 % interval of the high point, unwrapped about the estimate."""
    points = grid_points(fit.highest_order)
    here = curves(fit.coefficients_mm + draws, points).argmax(axis=1) * (TWO_PI / points)
    off = np.mod(here - fit.high_point_rad + math.pi, TWO_PI) - math.pi
    low, high = coverage_interval(off)
    step = TWO_PI / points / 2
    return (
        fit.high_point_rad + min(0.0, low - step),
        fit.high_point_rad + max(0.0, high + step),
    )


def _polar(fit: HarmonicFit, covariance: Floats) -> tuple[Floats, Floats]:
    """Return u(A_n) and u(arg z_n) of each order, shape (H,) each."""
    u_amplitude, u_phase = np.zeros(fit.highest_order), np.full(fit.highest_order, math.pi)
    for n in range(fit.highest_order):
        block = covariance[2 * n : 2 * n + 2, 2 * n : 2 * n + 2]
        a, b = float(fit.cos_mm[n]), float(fit.sin_mm[n])
        size = math.hypot(a, b)
        if size == 0.0:
            u_amplitude[n] = math.sqrt(float(np.trace(block)) / 2)
            continue
        u_amplitude[n] = math.sqrt(float(propagate([a / size, b / size], block)))
        u_phase[n] = min(math.pi, math.sqrt(float(propagate([-b / size, a / size], block))) / size)
    return u_amplitude, u_phase


def first_interval(fit: HarmonicFit, covariance_mm2: Floats, dof: float, draws_mm: Floats) -> FirstOrder:
    """Return tir_first with its interval by the same inversion, and the high side by Student's t.

    Parameters: the fit, the covariance of its coefficients (2H, 2H) with its degrees of freedom, and draws of
    their errors (D, 2H).
    """
    pair = fit.coefficients_mm[:2]
    amplitude = math.hypot(*pair)
    u_amplitude, u_phase = _polar(fit, covariance_mm2)
    along = pair / amplitude if amplitude > 0 else np.array([1.0, 0.0])
    turned = draws_mm[:, :2] @ np.array([[along[0], -along[1]], [along[1], along[0]]])
    limits = invert_first(2 * amplitude, turned) if amplitude > 0 else np.zeros(5)
    side = fit.high_place_rad(1)
    half = min(math.pi, t_quantile(0.975, dof) * float(u_phase[0]))
    return FirstOrder(
        tir_first_mm=2 * amplitude,
        u_mm=2 * float(u_amplitude[0]),
        low_mm=float(limits[0]),
        high_mm=float(limits[4]),
        low_one_sided_mm=float(limits[1]),
        high_one_sided_mm=float(limits[3]),
        high_side_rad=side,
        u_high_side_rad=float(u_phase[0]),
        high_side_low_rad=side - half,
        high_side_high_rad=side + half,
    )


def more_turns_would_decide(
    interval: SweepUncertainty, limit_mm: float, turns: int | None = None, other_u_mm: float | None = None
) -> int | None:
    """Return how many MORE turns would bring the one-sided limit clear of ``limit_mm``, or None.

    Only the random part shrinks, with the root of the number of turns. Parameters: the interval, the limit
    (mm), and where they differ from the interval's own the turns behind it and the standard uncertainty of
    the budget lines that are not random (mm). None where those alone forbid a decision, or more than 100
    further turns would be needed; 0 where it is decided already.
    """
    have = interval.turns if turns is None else turns
    other = interval.other_u_mm if other_u_mm is None else other_u_mm
    fixed = math.hypot(interval.resolution_half_width_mm, normal_quantile(0.95) * other)
    room = abs(limit_mm - interval.tir_mm)
    if room <= fixed:
        return None
    random = (
        interval.random_one_sided_high_mm if limit_mm > interval.tir_mm else interval.random_one_sided_low_mm
    )
    more = max(0, math.ceil(have * random**2 / (room**2 - fixed**2) - have - 1e-9))
    return more if more <= _MOST_TURNS else None
