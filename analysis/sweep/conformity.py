"""The decision of a fitted sweep: which estimate the limit is held against, and what has to agree with it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from analysis.checks import describe_bump
from analysis.decision import LAST_DIGIT, Decision, Witness, decide, tir_of_few_places
from analysis.diagnosis import BumpKind
from analysis.errors import BadInput
from analysis.numerics import Component, UncertainNumber
from analysis.results import Check, CheckState, SweepSummary
from analysis.setup import Limit, Quantity, Setup, Stage, Surface
from analysis.sweep.fitting import FittedSweep
from analysis.sweep.quantities import dial_reading
from analysis.uncertainty import turns_to_decide

DECIDED_IN_A_SWEEP = (Quantity.TIR, Quantity.TIR_FIRST, Quantity.ECCENTRICITY, Quantity.FORM)

ON_THE_CUTTING_MOUNT = "on the cutting mount: not evidence of the result"
WHY_NOTHING_IS_DECIDED: Mapping[Stage, str] = {
    Stage.ON_THE_LATHE: "on the lathe the mounting and the spindle are in the reading with the part",
    Stage.AFTER_CUT: ON_THE_CUTTING_MOUNT,
    Stage.HALF_TURN: "a half turn reads the spindle twice and is blind to the part's own seat",
    Stage.END_FLOAT: "in an end float capture the part is pushed and pulled, and not only turned",
}
"""Stages at which a limit of the part is held against nothing, and why."""


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
    fitted = f.uncertainty is not None and not f.few_places
    if limit.quantity != Quantity.TIR or not fitted:
        return decide(
            _number(f, pooled, limit.quantity),
            limit_mm,
            quantity=limit.quantity,
            limit_as_written=written,
            refused=refused,
        )
    assert f.uncertainty is not None
    dial = _dial(f, pooled)
    decided = decide(
        pooled.tir_fit,
        limit_mm,
        limit_as_written=written,
        witnesses=_witnesses(f, pooled, dial),
        refused=refused,
        more_turns=turns_to_decide(f.uncertainty, limit_mm) or None,
    )
    return replace(decided, dial=dial)


def _number(f: FittedSweep, pooled: SweepSummary, quantity: str) -> UncertainNumber:
    """Return what is decided on: of few places max - min of the readings, else a number of the fit."""
    if quantity == Quantity.TIR:
        return tir_of_few_places(f.pool.values.angle_rad, f.pool.values.reading_mm, f.digit_mm)
    uncertainty = f.uncertainty
    if uncertainty is not None and quantity == Quantity.FORM:
        u = math.hypot(pooled.tir_fit.u, f.other_u_mm)
        return UncertainNumber(pooled.form_mm, {"as of the TIR": Component(u, uncertainty.dof)}, least=0.0)
    if uncertainty is None:
        digit = Component(f.digit_mm / math.sqrt(6.0))
        first = UncertainNumber(pooled.tir_first.value, {LAST_DIGIT: digit}, least=0.0)
    else:
        first = uncertainty.first.tir_first.with_part("other lines", Component(f.other_u_mm))
    return first.scaled(0.5) if quantity == Quantity.ECCENTRICITY else first


def _dial(f: FittedSweep, pooled: SweepSummary) -> UncertainNumber:
    """Return what a dial would show, noise and rounding taken off."""
    edges = np.searchsorted(f.pool.turn, np.arange(1, len(f.turns)))
    turns_mm = [f.fit.curve(angle_rad) for angle_rad in np.split(f.pool.values.angle_rad, edges)]
    return dial_reading(pooled.tir_raw_mm, turns_mm, f.local_noise_mm, f.gauge_facts.resolution_mm, f.seed)


def _witnesses(f: FittedSweep, pooled: SweepSummary, dial: UncertainNumber) -> list[Witness]:
    """Return what has to fall on the fit's side (the ridge rule): what a dial shows, repeating bumps."""
    fitted = pooled.tir_fit.value
    shown = f"a dial would show {dial.value:.4f} mm (noise taken off), the fitted curve {fitted:.4f} mm"
    repeating = [bump for bump in f.search.bumps if bump.repeats and bump.kind is not BumpKind.HOLE]
    if not repeating:
        return [Witness(dial, shown)]
    named = "; ".join(describe_bump(bump) for bump in repeating)
    # A bump's own height is read more exactly than the noisy extremes of a turn: the higher one speaks.
    bumps = _form_with_bumps(f)
    highest = bumps if bumps.value > dial.value > fitted else dial
    return [Witness(highest, f"{named}: with it {shown}")]


def _form_with_bumps(f: FittedSweep) -> UncertainNumber:
    """Return max - min of the form with every repeating bump on it: its height is a median of readings."""
    parts = {
        "noise on the bump": Component(f.local_noise_mm * math.sqrt(2.0 / max(f.search.values_on_bump, 1))),
        "step of the gauge": Component(f.gauge_facts.resolution_mm / math.sqrt(12.0)),
    }
    return UncertainNumber(f.search.tir_with_bumps_mm, parts, least=0.0)
