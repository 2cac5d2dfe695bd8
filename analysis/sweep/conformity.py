"""The decision of a fitted sweep: which estimate the limit is held against, and what has to agree with it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from analysis.checks import describe_bump
from analysis.decision import (
    LAST_DIGIT,
    ONE_LOOK,
    Decidable,
    Looks,
    Witness,
    at_look,
    count_looks,
    tir_of_few_places,
)
from analysis.diagnosis import BumpKind
from analysis.errors import BadInput
from analysis.numerics import RECTANGULAR, TRIANGULAR, Component, Limits, UncertainNumber
from analysis.results import Check, CheckState, SweepSummary
from analysis.setup import Limit, Quantity, Setup, Stage, Surface
from analysis.sweep.fitting import FittedSweep
from analysis.sweep.quantities import CurveAndRange, dial_reading
from analysis.uncertainty import (
    SET_BY_EYE,
    BudgetLine,
    SweepUncertainty,
    lines_of_form,
    turns_to_decide,
    with_lines,
)

DECIDED_IN_A_SWEEP = (Quantity.TIR, Quantity.TIR_FIRST, Quantity.ECCENTRICITY, Quantity.FORM)

ON_THE_CUTTING_MOUNT = "on the cutting mount: not evidence of the result"
WHY_NOTHING_IS_DECIDED: Mapping[Stage, str] = {
    Stage.ON_THE_LATHE: "on the lathe the mounting and the spindle are in the reading with the part",
    Stage.AFTER_CUT: ON_THE_CUTTING_MOUNT,
    Stage.HALF_TURN: "a half turn reads the spindle twice and is blind to the part's own seat",
    Stage.END_FLOAT: "in an end float capture the part is pushed and pulled, and not only turned",
}
"""Stages at which a limit of the part is held against nothing, and why."""

_FEW_A_TURN = 34
_HIGH_ENOUGH = 24
"""With fewer values a turn, and no order so high looked for, a wave that cannot be seen is allowed for."""


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


def decidable_quantities(
    f: FittedSweep, pooled: SweepSummary, checks: Sequence[Check], unseen: Sequence[BudgetLine]
) -> dict[Quantity, Decidable]:
    """Return each quantity that this sweep can be decided in, ready for any limit at its track.

    ``unseen``: the lines of its budget that no sweep shows by itself.
    """
    refused = tuple(f"{check.name}: {check.text}" for check in checks if check.state is CheckState.REFUSED)
    setup = f.capture.setup
    quantities = [Quantity.TIR, Quantity.TIR_FIRST, Quantity.FORM]
    if setup.surface != Surface.FACE:
        quantities.append(Quantity.ECCENTRICITY)
    if f.uncertainty is None or f.few_places:
        return {
            each: Decidable(
                with_lines(_of_few_readings(f, pooled, each), unseen, _share(each)), refused=refused
            )
            for each in quantities
        }
    return {
        each: _of_fit(f, f.uncertainty, pooled, each, looks_at(f), refused, unseen) for each in quantities
    }


def looks_at(f: FittedSweep) -> Looks:
    """Return which look at the part a sweep is; places are read and written down once."""
    if f.uncertainty is None or f.few_places:
        return ONE_LOOK
    setup = f.capture.setup
    return count_looks(len(f.turns) + len(f.pool.refused), setup.turns_planned, setup.looks_before)


def held_against_limits(
    scatter: UncertainNumber,
    looks: Looks,
    dof: float,
    *,
    steps_mm: tuple[float, float] = (0.0, 0.0),
    other: Mapping[str, Component] = MappingProxyType({}),
    unseen: Sequence[BudgetLine] = (),
    share: float = 1.0,
) -> UncertainNumber:
    """Return what is held against a limit: one length with its whole budget, whatever it is a length of.

    Parameters: the length with nothing in it but what a later look draws anew, of ``dof`` degrees of
    freedom, which alone is multiplied by the look's factor; what coarse steps add, below and above;
    ``other`` lines beside the random one; lines that no sweep shows by itself; ``share`` 0.5 for an
    eccentricity, of which ``scatter`` is the TIR.
    """
    number = at_look(scatter, looks, dof)
    below, above = steps_mm
    if below > 0.0 and number.limits is not None:
        wider = number.limits.widened(number.value, below, below, least=0.0, sides=(True, False))
        wider = wider.widened(number.value, below, above, sides=(False, True))
        number = replace(number, limits=wider)
    for name, line in other.items():
        if name != SET_BY_EYE:  # in the lines that follow it is as wide as a decision takes it
            number = number.with_part(name, line)
    if share != 1.0:
        number = number.scaled(share)
    return with_lines(number, unseen, share)


def _share(quantity: Quantity) -> float:
    """Return what part of a TIR's lines a quantity has: an eccentricity is half a TIR."""
    return 0.5 if quantity == Quantity.ECCENTRICITY else 1.0


def _of_few_readings(f: FittedSweep, pooled: SweepSummary, quantity: Quantity) -> UncertainNumber:
    """Return what few places tell: max - min of the readings, or the plain wobble through them."""
    if quantity == Quantity.TIR:
        return tir_of_few_places(f.pool.values.angle_rad, f.pool.values.reading_mm, f.digit_mm)
    if quantity == Quantity.FORM:
        return pooled.form
    if f.uncertainty is not None:
        first = f.uncertainty.first.tir_first.with_part("other lines", Component(f.other_u_mm))
    else:
        digit = Component(f.digit_mm / math.sqrt(6.0), distribution=TRIANGULAR)
        first = UncertainNumber(pooled.tir_first.value, {LAST_DIGIT: digit}, least=0.0)
    return first.scaled(_share(quantity))


def _of_fit(
    f: FittedSweep,
    uncertainty: SweepUncertainty,
    pooled: SweepSummary,
    quantity: Quantity,
    looks: Looks,
    refused: tuple[str, ...],
    unseen: Sequence[BudgetLine],
) -> Decidable:
    """Return a quantity of the curve: what later looks draw anew by the look's factor, then the rest."""
    other = f.other
    if quantity == Quantity.FORM:
        scatter = uncertainty.form_by_scatter
        other = lines_of_form(other, scatter.value / max(f.fit.tir_mm, scatter.value, 1e-12))
    elif quantity == Quantity.TIR:
        scatter = uncertainty.tir_by_scatter
    else:
        scatter = uncertainty.first.tir_first
    dof = min((part.dof for part in scatter.parts.values()), default=math.inf)
    steps = uncertainty.resolution_half_width_mm if quantity in (Quantity.TIR, Quantity.FORM) else 0.0
    above = uncertainty.hidden_by_steps_mm if quantity == Quantity.TIR else steps
    number = held_against_limits(
        scatter,
        looks,
        dof,
        steps_mm=(steps, above),
        other=other,
        unseen=unseen,
        share=_share(quantity),
    )

    def more_turns(limit_mm: float) -> int | None:
        side = 1 if limit_mm > number.value else 0
        whole, shift = abs(number.one_sided()[side] - number.value), _shift(number, side)
        random = abs(scatter.one_sided()[side] - scatter.value) * _share(quantity)
        drawn = looks.factor(dof) * random
        return turns_to_decide(
            turns=looks.turns,
            room_mm=abs(limit_mm - number.value) - shift,
            random_mm=random,
            fixed_mm=math.sqrt(max(0.0, (whole - shift) ** 2 - drawn**2)),
            factor=lambda turns: math.inf if looks.after(turns).too_early else looks.after(turns).factor(dof),
        )

    if quantity != Quantity.TIR:
        return Decidable(number, looks, (), refused, more_turns)
    dial = _dial(f, pooled)
    witnesses = (*_witnesses(f, pooled, dial), *_hidden_orders(f, number))
    return Decidable(number, looks, witnesses, refused, more_turns, dial)


def _shift(number: UncertainNumber, side: int) -> float:
    """Return by how much parts move one limit away from the value: 0 the lower, 1 the upper one."""
    upper = math.fsum(part.shift for part in number.parts.values() if part.upward)
    return upper if side else -math.fsum(part.shift for part in number.parts.values() if part.downward)


def _dial(f: FittedSweep, pooled: SweepSummary) -> UncertainNumber:
    """Return what a dial would show, noise and rounding taken off."""
    edges = np.flatnonzero(np.diff(f.pool.turn)) + 1
    turns_mm = [
        (f.fit.curve(angle_rad), f.fit.tir_mm) for angle_rad in np.split(f.pool.values.angle_rad, edges)
    ]
    return dial_reading(
        pooled.tir_raw_mm,
        turns_mm,
        f.local_noise_mm,
        f.gauge_facts.resolution_mm,
        f.seed,
        narrow_mm=_with_narrow_tops(f),
    )


def _with_narrow_tops(f: FittedSweep) -> list[CurveAndRange]:
    """Return each turn's form with every repeating bump on it as a wave as wide at half its height."""
    bumps = [bump for bump in f.search.bumps if bump.repeats]
    if not bumps:
        return []
    deg, turn, shape = np.degrees(f.pool.values.angle_rad), f.pool.turn, f.search.form_mm.copy()
    tops = []
    for bump in bumps:
        off = (deg - bump.deg + 180.0) % 360.0 - 180.0
        on = np.abs(off) < bump.width_deg
        tops.append(f.search.form_mm[np.abs(off).argmin()] + bump.height_mm)
        shape[on] += bump.height_mm * np.cos(math.pi * off[on] / (2.0 * bump.width_deg)) ** 2
    # The form itself is read closely enough between readings; a bump's top is not.
    ends = (min(float(shape.min()), *tops), max(float(shape.max()), *tops))
    return [(curve, ends[1] - ends[0]) for curve in np.split(shape, np.flatnonzero(np.diff(turn)) + 1)]


def _hidden_orders(f: FittedSweep, tir: UncertainNumber) -> list[Witness]:
    """Return how far the TIR may reach with a wave that hides between few values a turn."""
    above = f.above
    if f.pool.orders_asked or f.pool.values_per_turn >= _FEW_A_TURN or above.looked_for >= _HIGH_ENOUGH:
        return []
    if not math.isfinite(above.seen_mm):
        return []
    beyond = 2 * above.seen_mm
    two, one = ((low - beyond, high + beyond) for low, high in (tir.interval(), tir.one_sided()))
    reach = UncertainNumber(tir.value, limits=Limits(two, one), least=0.0)
    return [Witness(reach, f"a wave of {beyond:.4f} mm above {above.looked_for} round would not be seen")]


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
        "step of the gauge": Component(
            f.gauge_facts.resolution_mm / math.sqrt(12.0), distribution=RECTANGULAR
        ),
    }
    return UncertainNumber(f.search.tir_with_bumps_mm, parts, least=0.0)
