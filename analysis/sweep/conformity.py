"""The decision of a fitted sweep: which estimate the limit is held against, and what has to agree with it."""

import math
from collections.abc import Sequence

from analysis.checks import describe_bump
from analysis.decision import Decision, Estimate, Witness, decide, estimate_with_u, typed_estimate
from analysis.diagnosis import BumpKind
from analysis.errors import BadInput
from analysis.results import Check, CheckState, SweepSummary
from analysis.setup import Limit, Quantity, Setup, Surface
from analysis.sweep.fitting import FittedSweep
from analysis.sweep.quantities import range_bias_mm
from analysis.uncertainty import turns_to_decide

DECIDED_IN_A_SWEEP = (Quantity.TIR, Quantity.TIR_FIRST, Quantity.ECCENTRICITY, Quantity.FORM)
_K_TWO_SIDED, _K_ONE_SIDED = 1.959964, 1.644854


def check_limit(limit: Limit | None, setup: Setup) -> None:
    """Refuse, with BadInput, a limit that no sweep of this surface can be held against."""
    if limit is None:
        return
    if limit.quantity == Quantity.TILT:
        raise BadInput(
            "a limit on tilt written as a length holds at no stated radius: write it as a tir with "
            "limit_radius"
        )
    if limit.quantity not in DECIDED_IN_A_SWEEP:
        raise BadInput(
            f"a limit on {limit.quantity} cannot be decided in one sweep: a sweep decides "
            f"{', '.join(DECIDED_IN_A_SWEEP)}"
        )
    if limit.quantity == Quantity.ECCENTRICITY and setup.surface == Surface.FACE:
        raise BadInput(
            "a limit on eccentricity against a sweep of a face: a face has no eccentricity; set surface to "
            "outside or bore, or take tir"
        )


def assess_conformity(
    f: FittedSweep,
    pooled: SweepSummary,
    limit: Limit,
    limit_mm: float,
    *,
    checks: Sequence[Check],
) -> Decision:
    """Return the decision against ``limit_mm``, the limit at this track."""
    refused = [f"{check.name}: {check.text}" for check in checks if check.state is CheckState.REFUSED]
    written = limit.length.as_written
    if limit.quantity == Quantity.TIR and (f.few_places or f.uncertainty is None):
        estimate, upper = typed_estimate(f.pool.values.angle_rad, f.pool.values.reading_mm, f.digit_mm)
        return decide(estimate, limit_mm, limit_as_written=written, refused=refused, upper_mm=upper)
    if limit.quantity != Quantity.TIR or f.uncertainty is None:
        return decide(
            _estimate(f, pooled, limit.quantity), limit_mm, limit_as_written=written, refused=refused
        )
    return decide(
        _estimate(f, pooled, "tir"),
        limit_mm,
        limit_as_written=written,
        witnesses=_witnesses(f, pooled),
        refused=refused,
        more_turns=turns_to_decide(f.uncertainty, limit_mm) or None,
    )


def _estimate(f: FittedSweep, pooled: SweepSummary, quantity: str) -> Estimate:
    uncertainty, other = f.uncertainty, f.other_u_mm
    half = 0.5 if quantity == Quantity.ECCENTRICITY else 1.0
    if uncertainty is None:
        return estimate_with_u(quantity, half * pooled.tir_first_mm, half * f.digit_mm / math.sqrt(6.0))
    if quantity == Quantity.TIR:
        return Estimate(
            "tir",
            uncertainty.tir_mm,
            pooled.u_tir_fit_mm,
            (uncertainty.low_mm, uncertainty.high_mm),
            uncertainty.low_one_sided_mm,
            uncertainty.high_one_sided_mm,
        )
    if quantity == Quantity.FORM:
        return estimate_with_u(
            "form", pooled.form_mm, math.hypot(pooled.u_tir_fit_mm, other), uncertainty.dof
        )
    first = uncertainty.first
    value = first.tir_first_mm

    def widened(limit: float, k: float) -> float:
        wide = math.copysign(math.hypot(limit - value, k * other), limit - value)
        return half * max(0.0, value + wide)

    return Estimate(
        quantity,
        half * value,
        half * math.hypot(first.u_mm, other),
        (widened(first.low_mm, _K_TWO_SIDED), widened(first.high_mm, _K_TWO_SIDED)),
        widened(first.low_one_sided_mm, _K_ONE_SIDED),
        widened(first.high_one_sided_mm, _K_ONE_SIDED),
    )


def _witnesses(f: FittedSweep, pooled: SweepSummary) -> list[Witness]:
    """Return what has to fall on the fit's side (the ridge rule): what a dial shows, repeating bumps."""
    first_turn = f.pool.values.angle_rad[f.pool.turn == 0]
    bias = range_bias_mm(f.fit.curve(first_turn), f.local_noise_mm, f.gauge_facts.resolution_mm, f.seed)
    raw = pooled.tir_raw_mm - max(bias, 0.0)
    shown = f"a dial would show {raw:.4f} mm (noise taken off), the fitted curve {pooled.tir_fit_mm:.4f} mm"
    repeating = [bump for bump in f.search.bumps if bump.repeats and bump.kind is not BumpKind.HOLE]
    if not repeating:
        return [Witness(raw, shown)]
    named = "; ".join(describe_bump(bump) for bump in repeating)
    # A bump's own height is read more exactly than the noisy extremes of a turn: both have to agree.
    highest = max(raw, f.search.tir_with_bumps_mm) if raw > pooled.tir_fit_mm else raw
    return [Witness(highest, f"{named}: with it {shown}")]
