"""How well the TIR, the high point and each order of a sweep are known.

The interval comes from one fit over all turns, widened where turns differ by more than the noise, and
turned round by inversion (``range_inversion``). Checked by simulation: test_coverage.py and
tests/campaigns/coverage.py print the coverage reached.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import NotDecidable
from analysis.harmonics import BelievedLines, FitPlan, HarmonicFit, SweepSums, harmonic_rows
from analysis.numerics import (
    NORMAL_95,
    Component,
    Limits,
    UncertainNumber,
    coverage_interval,
    normal_quantile,
    propagate,
)
from analysis.uncertainty.budget import together_mm
from analysis.uncertainty.first_order import FirstOrderEstimate, first_interval, polar_uncertainties
from analysis.uncertainty.line_frequency import LineFrequencyPosterior
from analysis.uncertainty.pooled_fit import (
    central_moment,
    fit_turns_together,
    has_noise,
    second_moment,
    with_scatter,
)
from analysis.uncertainty.quantisation import (
    LIMITED_BELOW,
    LIMITED_STEPS,
    WHITE_FROM,
    coefficient_biases_mm,
    hidden_by_steps_mm,
    noise_behind_steps,
    unseen_quantisation_bias_mm,
)
from analysis.uncertainty.range_inversion import curves, grid_points
from analysis.uncertainty.single_turn import NonRepeatingMotion, motions
from analysis.uncertainty.tir_budget import HalfWidths, random_part, with_other_lines
from analysis.uncertainty.tir_limits import DRAWS, draw_errors, form_limits, tir_limits, without_order_one
from analysis.uncertainty.turn_scatter import TurnScatter, not_tested
from analysis.uncertainty.wander import NOT_TESTED, Wander

Floats = NDArray[np.float64]
TWO_PI = 2 * math.pi

_LEAST_SAID_MM = 5e-5
"""A wander under this would be printed as nothing."""
MOVED = (
    "the ends of the one turn do not meet: something moves that does not repeat; the interval allows for it"
)
TWO_TURNS_TELL_NO_LINE = "two turns cannot tell a steady motion from wander: take a third"
_MOVED = 0.5


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
    wander: Wander
    """How order 1 scatters over the turns."""
    line_predictions: tuple[float, ...]
    """How much each line of the fit leaves of turns that it was not fitted to, 0 to 1."""
    branch: str
    """``white``, ``lines``, ``one turn, moving``, ``requantised`` or ``resolution-limited``."""
    tir: UncertainNumber
    """Max - min of the part's orders 1..H, bias taken out, with its whole budget."""
    tir_by_scatter: UncertainNumber
    """The same with nothing in it but what another sweep would draw anew."""
    form_by_scatter: UncertainNumber
    """The same without order 1: the form of the curve."""
    random: HalfWidths
    """How far the limits of the TIR lie from it by noise and scatter alone."""
    other_u_mm: float
    """Standard uncertainty of the budget lines that are not random."""
    resolution_half_width_mm: float
    """What steps coarser than the noise add to each half-width; 0 where they do not limit."""
    hidden_by_steps_mm: float
    """What they add above the TIR alone, one-sided."""
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
    remarks: tuple[str, ...]
    """Remarks for a person, such as ``resolution limits this``."""


def tir_interval(
    angle_rad: ArrayLike,
    reading_mm: ArrayLike,
    t_s: ArrayLike,
    turn: ArrayLike,
    *,
    plan: FitPlan,
    resolution_mm: float = 0.0,
    other: Mapping[str, Component] = MappingProxyType({}),
    lines: BelievedLines | None = None,
    sums: SweepSums | None = None,
    seed: int = 1,
) -> SweepUncertainty:
    """Return the TIR of the part over all turns of a sweep, bias taken out, with its 95 % interval.

    Parameters: unwrapped angles (rad), readings (mm), one per NEW gauge value, times (s) and the number of
    the turn of each, shape (n,); what is fitted; ``resolution_mm`` step of the reading, 0 where not known;
    ``other`` the budget lines that are not random; ``lines`` where they were looked for; ``sums`` over the
    readings of all turns, where those handed over are of some. The same seed gives the same answer. A single
    turn is widened by what it leaves open (``single_turn``), but not of a few places. Raises NotDecidable
    where the readings do not carry the orders of the plan or leave nothing to judge the noise by.
    """
    angle = np.ascontiguousarray(angle_rad, np.float64)
    reading = np.ascontiguousarray(reading_mm, np.float64)
    time = np.ascontiguousarray(t_s, np.float64)
    turns = np.asarray(turn, np.int64)
    rng = np.random.default_rng(seed)
    remarks: list[str] = []

    pooled = fit_turns_together(angle, reading, time, turns, plan, lines, sums)
    fit, scatter, wander = pooled.fit, pooled.scatter, pooled.wander
    posterior: LineFrequencyPosterior | NonRepeatingMotion | None = pooled.posterior
    if fit.dof < 1:
        raise NotDecidable(
            f"{len(angle)} readings for {len(angle) - fit.dof} unknowns leave nothing to judge the noise by: "
            "turn on, or ask for fewer orders"
        )
    if not plan.even_angles:
        # Turns differ because their angles are bent: that is carried as the angle's own uncertainty.
        scatter, wander = not_tested(fit.highest_order), NOT_TESTED
    branch = "lines" if fit.lines else "white"
    behind = noise_behind_steps(fit.noise_mm, resolution_mm)
    limited = resolution_mm > 0 and behind < LIMITED_BELOW * resolution_mm
    if limited:
        branch, scatter, wander = "resolution-limited", not_tested(fit.highest_order), NOT_TESTED
        remarks.append("resolution limits this")
    # Stairs of a coarse gauge would be taken for motion.
    if plan.one_turn and not limited and fit.dof > 2 and has_noise(reading, fit):
        posterior = motions(angle, reading, plan.highest_order, plan.added_orders)
        fit = replace(fit, cos_mm=posterior.mean_mm[0::2], sin_mm=posterior.mean_mm[1::2])
        if posterior.moved > _MOVED:
            branch = "one turn, moving"
            remarks.append(MOVED)
    if posterior is None:
        draws = draw_errors(fit.covariance_mm2, fit.dof, rng)
        covariance = fit.covariance_mm2
    else:
        draws = posterior.draw(DRAWS, rng)
        covariance = (
            second_moment(draws) if isinstance(posterior, LineFrequencyPosterior) else central_moment(draws)
        )
    remarks += _of_turns_that_differ(scatter, wander, plan.turns)
    if pooled.doubted and plan.turns == 2:
        remarks.append(TWO_TURNS_TELL_NO_LINE)
    if scatter.inflated:
        elsewhere = pooled.wander_elsewhere
        draws, covariance = with_scatter(draws, covariance, scatter, rng, wander=wander, elsewhere=elsewhere)
    white = covariance
    if resolution_mm > 0 and behind < WHITE_FROM * resolution_mm:
        biases = coefficient_biases_mm(fit, angle, time, resolution_mm)
        covariance = covariance + second_moment(biases)
        with_steps = draws + biases[rng.integers(0, len(biases), len(draws))]
        if not limited:
            branch, draws, white = "requantised", with_steps, covariance
    else:
        with_steps = draws
    if limited and not plan.few_places:
        # The fit takes part of the stairs for form, and then shows too little of what they do. Of a few
        # places each reading has its own rounding, which the last written digit stands for.
        unseen = unseen_quantisation_bias_mm(behind, resolution_mm)
        covariance = covariance + unseen**2 * np.eye(len(covariance))
        with_steps = with_steps + rng.normal(0.0, unseen, with_steps.shape)
    dof = _dof_of_tir(fit, covariance, scatter)
    found = tir_limits(fit, white, dof, draws, too_wide=scatter.inflated and plan.turns > 1)
    random = _half_widths(found)
    steps = LIMITED_STEPS * resolution_mm if limited else 0.0
    other_u_mm = together_mm(other)
    # One turn has no turn to differ from: what may be hidden in it is in this line too.
    scatter_part = {"turn to turn" if plan.turns > 1 else "one turn by itself": random_part(random, dof)}
    parts = dict(scatter_part)
    if steps > 0:
        parts["resolution limits this"] = Component(steps / 1.96, distribution=NORMAL_95)
    u_amplitude, u_phase = polar_uncertainties(fit, covariance)
    first_dof = float(min(scatter.dof[0], fit.dof))
    return SweepUncertainty(
        fit=fit,
        covariance_mm2=covariance,
        dof=dof,
        turns=plan.turns,
        scatter=scatter,
        wander=wander,
        line_predictions=pooled.predictions,
        branch=branch,
        tir=with_other_lines(found.value, random, dof, {**parts, **other}, steps, other_u_mm),
        tir_by_scatter=with_other_lines(found.value, random, dof, scatter_part, 0.0, 0.0),
        form_by_scatter=_form_by_scatter(fit, white, covariance, scatter, draws, next(iter(scatter_part))),
        random=random,
        other_u_mm=other_u_mm,
        resolution_half_width_mm=steps,
        hidden_by_steps_mm=hidden_by_steps_mm(found.value, behind, resolution_mm) if limited else 0.0,
        high_point=_high_point(fit, with_steps),
        u_coefficients_mm=np.sqrt(np.diag(covariance)).reshape(-1, 2),
        u_amplitude_mm=u_amplitude,
        u_high_place_rad=u_phase / np.arange(1, len(u_phase) + 1),
        first=first_interval(fit, covariance, first_dof, with_steps, steps, counted=plan.one_turn),
        remarks=tuple(remarks),
    )


def _half_widths(found: UncertainNumber) -> HalfWidths:
    return HalfWidths(
        *((found.value - low, high - found.value) for low, high in (found.interval(), found.one_sided()))
    )


def _form_by_scatter(
    fit: HarmonicFit, white: Floats, covariance: Floats, scatter: TurnScatter, draws: Floats, name: str
) -> UncertainNumber:
    """Return max - min without order 1, bias taken out; how order 1 wanders does not count in it."""
    of_form = covariance.copy()
    of_form[:2] = of_form[:, :2] = 0.0
    dof = _dof_of_tir(without_order_one(fit), of_form, scatter)
    found = form_limits(fit, white, dof, draws, too_wide=scatter.inflated)
    random = _half_widths(found)
    return with_other_lines(found.value, random, dof, {name: random_part(random, dof)}, 0.0, 0.0)


def _of_turns_that_differ(scatter: TurnScatter, wander: Wander, turns: int) -> list[str]:
    """Return what is said of turns that differ by more than the noise."""
    said = []
    if wander.widens:
        by = f"{wander.mm:.4f} mm" if wander.mm >= _LEAST_SAID_MM else "less than 0.0001 mm"
        said.append(
            f"the first order wanders by {by} from turn to turn; the interval is from {turns} "
            f"turns ({wander.dof:.0f} degrees of freedom)"
        )
        if turns == 2:
            said.append("two turns differ; a third turn would narrow this")
    others = float(scatter.factor[1:].max(initial=1.0))
    if others > 1.0:
        said.append(f"orders above the first differ by {math.sqrt(others):.1f} times what the noise explains")
    return said


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
