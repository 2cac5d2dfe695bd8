"""How well the TIR, the high point and each order of a sweep are known.

The interval comes from one fit over all turns, widened where turns differ by more than the noise, and
turned round by inversion (see the inversion module). Checked by simulation: tests/analysis/test_honesty.py
and tests/campaigns/honesty.py print the coverage reached.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import NotDecidable
from analysis.harmonics import (
    CLEAR_P,
    LIKELY_P,
    MOST_LINES,
    HarmonicFit,
    Line,
    find_lines,
    fit_harmonics,
    harmonic_rows,
)
from analysis.numerics import (
    Component,
    Limits,
    UncertainNumber,
    coverage_interval,
    normal_quantile,
    propagate,
    t_quantile,
)
from analysis.uncertainty.budget import together_mm
from analysis.uncertainty.first_order import FirstOrderEstimate, first_interval, polar_uncertainties
from analysis.uncertainty.line_frequency import REACH, LineFrequencyPosterior, frequencies
from analysis.uncertainty.quantisation import (
    LIMITED_BELOW,
    WHITE_FROM,
    noise_behind_steps,
    pulled_coefficients,
    unseen_quantisation_bias_mm,
)
from analysis.uncertainty.range_inversion import curves, grid_points
from analysis.uncertainty.single_turn import NonRepeatingMotion, motions
from analysis.uncertainty.tir_limits import DRAWS, draw_errors, tir_limits
from analysis.uncertainty.turn_scatter import TurnScatter, not_tested, turn_scatter

Floats = NDArray[np.float64]
TWO_PI = 2 * math.pi

ROUNDING = 1e-10
"""Residuals below this share of the readings are rounding errors of the arithmetic."""
MOST_FOR_LINES = 20_000
"""Readings up to which lines that do not repeat with the turn are looked for."""
_LIMITED_STEPS = 0.8
_TURNS_FOR_NEIGHBOURS = 4.5
_MOST_TURNS = 100
MOVED = (
    "the ends of the one turn do not meet: something moves that does not repeat; the interval allows for it"
)
_MOVED = 0.5


@dataclass(frozen=True, slots=True)
class HalfWidths:
    """How far limits lie below and above a value, mm."""

    two_sided: tuple[float, float]
    one_sided: tuple[float, float]


@dataclass(frozen=True)
class SweepUncertainty:
    """One sweep, all turns pooled, with what is known of how well. mm, rad, s."""

    fit: HarmonicFit
    """Fit over all turns, lines included."""
    covariance_mm2: Floats
    """Covariance of a1, b1, a2, ... after widening, shape (2H, 2H)."""
    dof: float
    """Degrees of freedom of the TIR: of the noise, or of the turns where they differ by more."""
    turns: int
    """Turns pooled."""
    scatter: TurnScatter
    """The comparison of the turns; where they differ by more than the noise the covariance is widened."""
    branch: str
    """``white``, ``lines``, ``one turn, moving``, ``requantised`` or ``resolution-limited``."""
    tir: UncertainNumber
    """Max - min of the part's orders 1..H, bias taken out, with its whole budget."""
    random: HalfWidths
    """How far the limits of the TIR lie from it by noise and scatter alone."""
    other_u_mm: float
    """Standard uncertainty of the budget lines that are not random."""
    resolution_half_width_mm: float
    """What steps coarser than the noise add to each half-width; 0 where they do not limit."""
    high_point: UncertainNumber
    """Where the curve is highest, degrees, 0 to 360; its limits may lie beyond."""
    u_coefficients_mm: Floats
    """Standard uncertainty of a_n and b_n, shape (H, 2)."""
    u_amplitude_mm: Floats
    """u(A_n), shape (H,)."""
    u_high_place_rad: Floats
    """u of the high place of each order: u(phase) / n, shape (H,)."""
    first: FirstOrderEstimate
    """Order 1: how much and which way."""
    words: tuple[str, ...]
    """Remarks for a person, such as ``resolution limits this``."""


def tir_interval(
    angle_rad: ArrayLike,
    reading_mm: ArrayLike,
    t_s: ArrayLike,
    turn: ArrayLike,
    *,
    highest_order: int,
    resolution_mm: float = 0.0,
    other: Mapping[str, Component] = MappingProxyType({}),
    seed: int = 1,
    even_angles: bool = True,
    one_by_one: bool = False,
) -> SweepUncertainty:
    """Return the TIR of the part over all turns of a sweep, bias taken out, with its 95 % interval.

    Parameters: unwrapped angles (rad), readings (mm), one per NEW gauge value, times (s) and the number of
    the turn of each, shape (n,); ``resolution_mm`` step of the reading, 0 where not known; ``other``
    the budget lines that are not random. The same seed gives the same answer.
    ``even_angles`` False where angles are told by time: then no lines that do not repeat with the turn are
    looked for, since uneven turning bends the part's own orders into what looks like them. ``one_by_one``
    where a few places were read one after the other: no motion of a turn is told from them. Any other single
    turn is widened by what it leaves open (``single_turn``). Raises NotDecidable where the readings do not
    carry these orders or leave nothing to judge the noise by.
    """
    angle = np.ascontiguousarray(angle_rad, np.float64)
    reading = np.ascontiguousarray(reading_mm, np.float64)
    time = np.ascontiguousarray(t_s, np.float64)
    turns = np.asarray(turn, np.int64)
    rng = np.random.default_rng(seed)
    words: list[str] = []

    single = len(np.unique(turns)) == 1 and not one_by_one
    pooled = (
        _pooled(angle, reading, time, turns, highest_order)
        if even_angles and not single
        else _with_lines(angle, reading, time, turns, highest_order, None)
    )
    fit, scatter = pooled.fit, pooled.scatter
    unsure: LineFrequencyPosterior | NonRepeatingMotion | None = pooled.unsure
    if fit.dof < 1:
        raise NotDecidable(
            f"{len(angle)} readings for {len(angle) - fit.dof} unknowns leave nothing to judge the noise by: "
            "turn on, or ask for fewer orders"
        )
    if not even_angles:
        # Turns differ because their angles are bent: that is carried as the angle's own uncertainty.
        scatter = not_tested(highest_order)
    branch = "lines" if fit.lines else "white"
    behind = noise_behind_steps(fit.noise_mm, resolution_mm)
    limited = resolution_mm > 0 and behind < LIMITED_BELOW * resolution_mm
    if limited:
        branch, scatter = "resolution-limited", not_tested(highest_order)
        words.append("resolution limits this")
    # Stairs of a coarse gauge would be taken for motion.
    if single and not limited and fit.dof > 2 and _has_noise(reading, fit):
        unsure = motions(angle, reading, highest_order)
        fit = replace(fit, cos_mm=unsure.mean_mm[0::2], sin_mm=unsure.mean_mm[1::2])
        if unsure.moved > _MOVED:
            branch = "one turn, moving"
            words.append(MOVED)
    if unsure is None:
        draws = draw_errors(fit.covariance_mm2, fit.dof, rng)
        covariance = fit.covariance_mm2
    else:
        draws = unsure.draw(DRAWS, rng)
        covariance = _second_moment(draws) if isinstance(unsure, LineFrequencyPosterior) else _central(draws)
    if scatter.inflated:
        words.append(f"turns differ by {math.sqrt(scatter.worst):.1f} times what the noise explains")
        draws, covariance = _widened(draws, covariance, scatter, rng)
    white = covariance
    if resolution_mm > 0 and behind < WHITE_FROM * resolution_mm:
        pulled = pulled_coefficients(fit, angle, time, reading, resolution_mm)
        covariance = covariance + _second_moment(pulled)
        with_steps = draws + pulled[rng.integers(0, len(pulled), len(draws))]
        if not limited:
            branch, draws, white = "requantised", with_steps, covariance
    else:
        with_steps = draws
    if limited and not one_by_one:
        # The fit takes part of the stairs for form, and then shows too little of what they do. Of a few
        # places each reading has its own rounding, which the last written digit stands for.
        unseen = unseen_quantisation_bias_mm(behind, resolution_mm)
        covariance = covariance + unseen**2 * np.eye(len(covariance))
        with_steps = with_steps + rng.normal(0.0, unseen, with_steps.shape)
    dof = _dof_of_tir(fit, covariance, scatter)
    found = tir_limits(fit, white, dof, draws)
    random = HalfWidths(
        *((found.value - low, high - found.value) for low, high in (found.interval(), found.one_sided()))
    )
    steps = _LIMITED_STEPS * resolution_mm if limited else 0.0
    other_u_mm = together_mm(other)
    turn_count = len(np.unique(turns))
    # One turn has no turn to differ from: what may be hidden in it is in this line too.
    parts = {"turn to turn" if turn_count > 1 else "one turn by itself": _random_part(random, dof)}
    if steps > 0:
        parts["resolution limits this"] = Component(steps / 1.96)
    u_amplitude, u_phase = polar_uncertainties(fit, covariance)
    first_dof = float(min(scatter.dof[0], fit.dof))
    return SweepUncertainty(
        fit=fit,
        covariance_mm2=covariance,
        dof=dof,
        turns=turn_count,
        scatter=scatter,
        branch=branch,
        tir=_with_other_lines(found.value, random, dof, {**parts, **other}, steps, other_u_mm),
        random=random,
        other_u_mm=other_u_mm,
        resolution_half_width_mm=steps,
        high_point=_high_point(fit, with_steps),
        u_coefficients_mm=np.sqrt(np.diag(covariance)).reshape(-1, 2),
        u_amplitude_mm=u_amplitude,
        u_high_place_rad=u_phase / np.arange(1, len(u_phase) + 1),
        first=first_interval(fit, covariance, first_dof, with_steps, steps, counted=single),
        words=tuple(words),
    )


@dataclass(frozen=True)
class _Pooled:
    """All turns fitted together."""

    fit: HarmonicFit
    scatter: TurnScatter
    unsure: LineFrequencyPosterior | None
    """The frequencies that a line may have, where a few turns hardly tell it."""


def _pooled(angle: Floats, reading: Floats, time: Floats, turn: NDArray[np.int64], highest: int) -> _Pooled:
    """Return the fit over all turns with the lines it needs, and how much turns then still differ."""
    clear = _with_lines(angle, reading, time, turn, highest, CLEAR_P)
    if clear.scatter.inflated and len(clear.fit.lines) < MOST_LINES:
        # Two or three turns show a slow line hardly at all, yet it bends the orders: where turns differ and
        # a line explains it, the line is believed on less.
        likely = _with_lines(angle, reading, time, turn, highest, LIKELY_P)
        if not likely.scatter.inflated:
            return likely
    return clear


def _has_noise(reading: Floats, fit: HarmonicFit) -> bool:
    """Return whether the orders leave more than rounding errors, which are no lines."""
    return float(np.max(np.abs(fit.residual_mm))) > ROUNDING * float(np.max(np.abs(reading)) or 1.0)


def _with_lines(
    angle: Floats, reading: Floats, time: Floats, turn: NDArray[np.int64], highest: int, p_value: float | None
) -> _Pooled:
    """Return the fit with the lines found at this level of chance; None looks for none."""
    drift = len(np.unique(turn)) >= 2
    turned = float(np.ptp(angle)) / TWO_PI
    lines: tuple[Line, ...] = ()
    # Over very many readings what does not repeat averages out, and the search would take memory by them.
    if (
        p_value is not None
        and len(angle) <= MOST_FOR_LINES
        and _has_noise(reading, fit_harmonics(angle, reading, time, highest_order=highest, drift=drift))
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
    unsure, residual, unknown = None, fit.residual_mm, 0
    if lines:
        unsure = frequencies(angle, reading, time, highest, lines, turns=turned)
        mean = unsure.mean_mm
        fit = replace(fit, cos_mm=mean[0::2], sin_mm=mean[1::2])
        residual, unknown = unsure.residual_mm, 3 * len(lines) + 4
    scatter = turn_scatter(angle, residual, turn, highest_order=highest, unknown=unknown)
    return _Pooled(fit, scatter, unsure)


def _second_moment(draws: Floats) -> Floats:
    return np.asarray(draws.T @ draws / len(draws))


def _central(draws: Floats) -> Floats:
    """Return the covariance whose normal 95 % are those of the draws: a few far out do not make it."""
    low, high = np.quantile(draws, [0.025, 0.975], axis=0)
    moment = _second_moment(draws)
    scale = (high - low) / (2 * normal_quantile(0.975)) / np.sqrt(np.maximum(np.diag(moment), 1e-300))
    return np.asarray(moment * np.outer(scale, scale))


def _widened(
    draws: Floats, covariance: Floats, scatter: TurnScatter, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Return draws and covariance with the scatter between turns put in, order by order."""
    stretch = np.ones((len(draws), len(scatter.factor)))
    for dof in np.unique(scatter.dof[np.isfinite(scatter.dof)]):
        for factor in np.unique(scatter.factor[scatter.dof == dof]):
            here = (scatter.dof == dof) & (scatter.factor == factor)
            stretch[:, here] = np.sqrt(factor * dof / rng.chisquare(dof, (len(draws), 1)))
    root = np.repeat(np.sqrt(scatter.factor), 2)
    return draws * np.repeat(stretch, 2, axis=1), covariance * np.outer(root, root)


def _dof_of_tir(fit: HarmonicFit, covariance: Floats, scatter: TurnScatter) -> float:
    """Return the degrees of freedom of the TIR, by Welch and Satterthwaite over orders (JCGM 100, G.4.1)."""
    places = np.array([fit.high_point_rad, fit.low_point_rad])
    high, low = harmonic_rows(places, fit.highest_order)[1:].T
    gradient = high - low
    variance = np.array(
        [
            float(propagate(gradient[2 * n : 2 * n + 2], covariance[2 * n : 2 * n + 2, 2 * n : 2 * n + 2]))
            for n in range(fit.highest_order)
        ]
    )
    total = float(variance.sum())
    if not scatter.inflated or total <= 0.0:
        return float(fit.dof)
    weight = 0.0
    own = np.where(np.isfinite(scatter.dof), scatter.dof, fit.dof)
    for dof in np.unique(own):
        for factor in np.unique(scatter.factor[own == dof]):
            # Orders widened together share one estimate of their variance.
            weight += float(variance[(own == dof) & (scatter.factor == factor)].sum()) ** 2 / dof
    return total**2 / weight


def t975(dof: float) -> float:
    """Return Student's t for a two-sided 95 % interval; below one degree of freedom the normal one."""
    return t_quantile(0.975, dof if dof >= 1 else math.inf)


def _random_part(random: HalfWidths, dof: float) -> Component:
    return Component(sum(random.two_sided) / (2.0 * t975(dof)), dof)


def _with_other_lines(
    value: float,
    random: HalfWidths,
    dof: float,
    parts: Mapping[str, Component],
    steps_mm: float,
    other_u_mm: float,
) -> UncertainNumber:
    """Return the TIR: its random limits joined by coarse steps and the budget lines that are not random."""
    two_sided, one_sided = (
        (max(0.0, value - math.hypot(below, fixed)), value + math.hypot(above, fixed))
        for (below, above), fixed in (
            (random.two_sided, math.hypot(steps_mm, normal_quantile(0.975) * other_u_mm)),
            (random.one_sided, math.hypot(steps_mm, normal_quantile(0.95) * other_u_mm)),
        )
    )
    u = (two_sided[1] - two_sided[0]) / (2.0 * t975(dof))
    return UncertainNumber(value, parts, limits=Limits(two_sided, one_sided, u), least=0.0)


def _high_point(fit: HarmonicFit, draws: Floats) -> UncertainNumber:
    """Return the high point with its 95 % interval, unwrapped about the estimate."""
    points = grid_points(fit.highest_order)
    here = curves(fit.coefficients_mm + draws, points).argmax(axis=1) * (TWO_PI / points)
    off = np.mod(here - fit.high_point_rad + math.pi, TWO_PI) - math.pi
    low, high = coverage_interval(off)
    step = TWO_PI / points / 2
    ends = (fit.high_point_rad + min(0.0, low - step), fit.high_point_rad + max(0.0, high + step))
    return UncertainNumber(
        math.degrees(fit.high_point_rad),
        unit="deg",
        limits=Limits(
            (math.degrees(ends[0]), math.degrees(ends[1])),
            u=math.degrees(ends[1] - ends[0]) / (2.0 * normal_quantile(0.975)),
        ),
        furthest=180.0,
    )


def turns_to_decide(interval: SweepUncertainty, limit_mm: float) -> int | None:
    """Return how many MORE turns would bring the one-sided limit clear of ``limit_mm``, or None.

    Only the random part shrinks, with the root of the number of turns. None where the other lines alone
    forbid a decision, or more than 100 further turns would be needed; 0 where it is decided already.
    """
    have = interval.turns
    fixed = math.hypot(interval.resolution_half_width_mm, normal_quantile(0.95) * interval.other_u_mm)
    value = interval.tir.value
    room = abs(limit_mm - value)
    if room <= fixed:
        return None
    random = interval.random.one_sided[1 if limit_mm > value else 0]
    more = max(0, math.ceil(have * random**2 / (room**2 - fixed**2) - have - 1e-9))
    return more if more <= _MOST_TURNS else None


def widen_for_uneven_turning(
    uncertainty: SweepUncertainty, tir_mm: Sequence[float], tir_first_mm: Sequence[float]
) -> SweepUncertainty:
    """Return the uncertainty with TIR and first order taken from the turns one by one.

    For angles told by time: uneven turning bends a turn's curve sideways, which leaves its max - min alone,
    but put together such turns blunt one another. Parameters: plain numbers of each turn, two at least.
    Limits by Student's t over the turns, joined with what noise makes of one order and the other lines.
    """
    dof = len(tir_mm) - 1
    mean, first = float(np.mean(tir_mm)), float(np.mean(tir_first_mm))
    noise = 2.0 * float(uncertainty.u_amplitude_mm[0])
    u = math.hypot(float(np.std(tir_mm, ddof=1)) / math.sqrt(len(tir_mm)), noise)
    u_first = math.hypot(float(np.std(tir_first_mm, ddof=1)) / math.sqrt(len(tir_first_mm)), noise)
    two, one = t_quantile(0.975, dof), t_quantile(0.95, dof)
    random = HalfWidths((two * u, two * u), (one * u, one * u))
    two_sided, one_sided = ((max(0.0, first - t * u_first), first + t * u_first) for t in (two, one))
    parts = {**uncertainty.tir.parts, "turn to turn": _random_part(random, dof)}
    return replace(
        uncertainty,
        dof=float(dof),
        tir=_with_other_lines(mean, random, dof, parts, 0.0, uncertainty.other_u_mm),
        random=random,
        first=replace(
            uncertainty.first,
            tir_first=UncertainNumber(
                first,
                {"turn to turn": Component(u_first, dof)},
                limits=Limits(two_sided, one_sided),
                least=0.0,
            ),
        ),
        words=(*uncertainty.words, "angles told by time: heights are taken turn by turn"),
    )
