"""One sweep from samples to a decision: cut into turns, fitted, checked, weighed against the limit.

This module only puts the steps in order; each step lives in a module of its own.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

import numpy as np

from analysis.angle import told_between_counts
from analysis.capture import (
    Capture,
    Floats,
    Samples,
    Window,
    overdue,
    windows_of_events,
    windows_of_setup,
)
from analysis.checks import run_checks
from analysis.decision import Decision, blind_spot_sentence, limit_at_track
from analysis.diagnosis import GaugeLag
from analysis.errors import BadInput
from analysis.numerics import Component, one_blas_thread
from analysis.results import Check, CheckState, SweepResult
from analysis.setup import Limit, Setup, make_limit, parse_setup
from analysis.sweep.conformity import WHY_NOTHING_IS_DECIDED, check_limit, decidable_quantities, looks_at
from analysis.sweep.corrections import at_surface
from analysis.sweep.declared_holes import pool_beside_holes
from analysis.sweep.evidence import SweepEvidence
from analysis.sweep.fitting import FittedSweep, fit_turns, lag_of_pool
from analysis.sweep.points import points_of
from analysis.sweep.pooling import pool_turns
from analysis.sweep.summary import pooled_vectors, summarise
from analysis.sweep.unseen_lines import gauge_taken_as, unseen_lines
from analysis.uncertainty import BudgetLine
from analysis.units import parse_length, to_mm, to_rad, to_s

CURVE_POINTS = 720

NO_STEP = "no step of the gauge was handed over (resolution_mm): the uncertainty holds no step"


@dataclass(frozen=True)
class Options:
    """What a person may ask of a sweep beside its set-up."""

    limit: Limit | None = None
    """Replaces the set-up's."""
    orders: int | None = None
    """Highest order; None chooses by the gauge."""
    leave_out: tuple[Window, ...] = ()
    seed: int = 1
    """Of the draws behind intervals: the same seed, the same numbers."""
    measured_on: date | None = None
    """The day of the sweep, which tells whether the gauge was past due; None = not asked."""
    other: Mapping[str, Component] = field(default_factory=dict)
    """Budget lines of what was done to the readings before, such as a sag taken out."""
    unseen: tuple[BudgetLine, ...] = ()
    """Lines that only a decision counts in, beside those of every sweep: of a second tip."""


def analyse(capture: Capture, options: Options | None = None) -> SweepResult:
    """Analyse one sweep.

    Parameters: the capture, and what was asked for. Returns all named numbers with uncertainty, checks and
    decision. Raises BadInput where there is no full turn, where orders are too high for the samples, and
    where limit and surface do not go together; NotDecidable where the readings carry no fit at all.
    """
    with one_blas_thread():
        return _analysed(capture, options or Options())


def _analysed(capture: Capture, options: Options) -> SweepResult:
    setup = capture.setup
    limit = options.limit or setup.limit
    limit_mm, scaled = 0.0, ""
    try:
        check_limit(limit, setup)
        limit_mm, scaled = limit_at_track(limit, setup) if limit else (0.0, "")
    except BadInput as error:
        if limit is None or not limit.kept:
            raise
        limit, setup = None, replace(setup, limit=None, unused={**setup.unused, "limit": str(error)})
    capture = told_between_counts(capture)
    windows = (*windows_of_setup(setup), *options.leave_out, *windows_of_events(capture.events))
    as_counted = pool_turns(capture, windows, options.orders)
    lag = lag_of_pool(at_surface(capture), as_counted)
    pool = as_counted if lag.lag_s == 0.0 else pool_turns(capture, windows, options.orders, lag.lag_s)
    beside = pool_beside_holes(capture, pool, windows, options.orders)
    pool, windows, capture = beside.pool, beside.windows, at_surface(capture)
    fitted = fit_turns(capture, pool, options.seed, options.other, beside.search, lag)
    points = points_of(fitted) if fitted.few_places else None
    pooled = summarise(fitted, points)
    evidence = SweepEvidence(fitted, limit_mm or fitted.fit.tir_mm, len(windows))
    checks = run_checks(evidence)
    play = None if fitted.few_places else evidence.hysteresis
    unseen = (*unseen_lines(fitted, play), *options.unseen)
    why_none = WHY_NOTHING_IS_DECIDED.get(setup.stage, "")
    decidable = {} if why_none else decidable_quantities(fitted, pooled, checks, unseen)
    decision = None
    if limit and not why_none:
        decision = decidable[limit.quantity].against(limit_mm, limit.quantity, limit.length.as_written)
    assumed = gauge_taken_as(setup, fitted.digit_mm) if decision else ()
    due = overdue(setup, options.measured_on) if options.measured_on else ""
    past_due = (f"{due}, and the sweep is of {options.measured_on}: have the gauge checked",) if due else ()
    grid: Floats = np.linspace(0.0, 2.0 * math.pi, CURVE_POINTS, endpoint=False)
    uncertainty = fitted.uncertainty
    return SweepResult(
        setup=setup,
        angle_source=capture.angle_source,
        gauge=fitted.gauge_facts,
        turns=fitted.turns,
        pooled=pooled,
        bumps=fitted.search.bumps,
        checks=checks,
        decision=decision,
        why_no_decision=why_none,
        angle_between_counts=capture.between_counts,
        slip=evidence.slip if evidence.slip is not None and evidence.slip.clear else None,
        decidable=decidable,
        unseen=unseen,
        few_places=fitted.few_places,
        points=points,
        left_out=windows,
        remarks=(
            *past_due,
            *_remarks(fitted, setup, scaled),
            *_lag_not_known(lag, checks),
            *beside.remarks,
            *assumed,
        ),
        past_due="".join(past_due),
        stages=tuple(_stages(fitted, checks, decision)),
        curve_deg=np.degrees(grid),
        curve_mm=fitted.fit.curve(grid),
        vectors=pooled_vectors(fitted),
        other_u_mm=fitted.other_u_mm,
        mean_mm=_mean_mm(fitted),
        lag=lag,
        looks=looks_at(fitted),
        steps_mm=0.0 if uncertainty is None or fitted.few_places else uncertainty.resolution_half_width_mm,
    )


def _lag_not_known(lag: GaugeLag, checks: tuple[Check, ...]) -> list[str]:
    """Return what is said of a lag that nothing tells, where no doubt says it already."""
    if lag.known:
        return []
    return [check.text for check in checks if check.name == "lag" and check.state is CheckState.CLEAR]


def _mean_mm(f: FittedSweep) -> float:
    """Return the mean height of the pooled curve at the middle of the sweep's time."""
    first, last = f.pool.turns[0], f.pool.turns[-1]
    return f.fit.constant_mm + (f.fit.drift_mm_per_s or 0.0) * (first.start_s + last.end_s) / 2.0


def fit_sweep(
    angle_rad: Any,
    reading_mm: Any = None,
    t_s: Any = None,
    *,
    setup: Mapping[str, str] | None = None,
    limit: Any = None,
    resolution_mm: Any = None,
    orders: int | None = None,
    seed: int = 1,
) -> SweepResult:
    """Fit one sweep given as arrays, or a capture such as ``read_recording`` returns.

    Parameters: unwrapped part angles (rad) from the mark, readings (mm) and, where known, times (s), each
    shape (n,), numbers or pint quantities; or, as the first and without the other two, a capture. ``setup``
    as text, on top of a capture's own; ``limit`` as text (``"0.05 mm"``), number of mm or pint length;
    ``resolution_mm`` step of the gauge (mm or pint length): where neither it nor the capture tells one, the
    result says in its remarks that no step is in the uncertainty. Returns the same result as ``sweep``
    prints. Raises BadInput for readings that are not finite, arrays that do not fit together, and quantities
    that are no angle, length or time.
    """
    if isinstance(angle_rad, Capture):
        if reading_mm is not None or t_s is not None:
            raise BadInput("a capture brings its own readings and times: hand it over alone")
        capture = angle_rad
        if setup:
            capture = replace(capture, setup=parse_setup(setup, kept=capture.setup.text))
    else:
        capture = _capture_of(angle_rad, reading_mm, t_s, setup or {})
    entered = None
    if limit is not None:
        text = limit if isinstance(limit, str) else f"{float(to_mm(limit, 'limit')):.12g} mm"
        quantity = capture.setup.text.get("limit_quantity") or "tir"
        entered = make_limit(parse_length(text, "limit"), quantity, surface=capture.setup.surface)
    if resolution_mm is not None:
        capture = replace(capture, resolution_mm=float(to_mm(resolution_mm, "resolution")))
    result = analyse(capture, Options(limit=entered, orders=orders, seed=seed))
    has_step = resolution_mm is not None or capture.resolution_mm > 0.0
    return result if has_step else replace(result, remarks=(*result.remarks, NO_STEP))


def _capture_of(angle_rad: Any, reading_mm: Any, t_s: Any, setup: Mapping[str, str]) -> Capture:
    if reading_mm is None:
        raise BadInput("angles without readings: hand over both, or a capture alone")
    angle = np.asarray(to_rad(angle_rad), np.float64)
    reading = np.asarray(to_mm(reading_mm, "reading"), np.float64)
    if angle.ndim != 1 or angle.shape != reading.shape:
        raise BadInput(f"angles {angle.shape} and readings {reading.shape} do not fit: hand over (n,) both")
    if not (np.isfinite(angle).all() and np.isfinite(reading).all()):
        raise BadInput("some angles or readings are not finite numbers: take them out first")
    n = len(angle)
    times = np.arange(n, dtype=np.float64) if t_s is None else np.asarray(to_s(t_s), np.float64)
    samples = Samples(times, angle, reading, np.ones(n, bool), np.zeros(n, bool), np.zeros(n, np.int16))
    return Capture(samples, parse_setup(setup), timed=t_s is not None)


def _remarks(f: FittedSweep, setup: Setup, scaled: str) -> list[str]:
    remarks = [scaled] if scaled else []
    remarks += [f"{why}: kept, not used" for why in setup.unused.values()]
    source = f.capture.from_recording
    if source is not None and not source.damaged:
        known = f" {source.recording_id}" if source.recording_id else ""
        sha = f" (sha256 {source.sha256[:8]})" if source.sha256 else ""
        remarks.append(f"exported from the recording{known}{sha}: what its checks found counts here too")
    remarks += f.pool.refused
    if f.few_places:
        gap = max(turn.largest_gap_deg for turn in f.turns)
        remarks.append(blind_spot_sentence(f.pool.places, gap))
    if f.capture.between_counts:
        by = "time" if f.capture.timed else "the number of readings, as if they came evenly"
        remarks.append(f"{f.capture.counts_per_turn:g} counts a turn: angles between counts by {by}")
    if f.uncertainty:
        remarks += f.uncertainty.remarks
    if setup.gauge_table_mm:
        remarks.append("the errors of the gauge's certificate were taken off its readings")
    if setup.gauge_angle_deg:
        remarks.append(
            f"readings multiplied by the cosine of the gauge's angle, {setup.gauge_angle_deg:g} deg"
        )
    if why := WHY_NOTHING_IS_DECIDED.get(setup.stage):
        remarks.append(why)
    return remarks


def _stages(f: FittedSweep, checks: tuple[Check, ...], decision: Decision | None) -> list[str]:
    passed, uncertainty, fit = f.pool.passed, f.uncertainty, f.fit
    drift = ", drift" if fit.drift_mm_per_s is not None else ""
    above = "".join(f", {n}" for n in fit.added_orders)
    lines = f", {len(fit.lines)} line(s) that do not repeat with the turn" if fit.lines else ""
    not_clear = [f"{check.name} {check.state}" for check in checks if check.state is not CheckState.CLEAR]
    steps = [
        f"samples: {passed.gauge.samples}, {passed.gauge.new} of them new values, "
        f"over {passed.extent.lasted_s:.1f} s",
        f"turns: {len(f.turns)} full, {f.pool.number} values that count at {f.pool.places} places",
        f"fit: orders 1 to {fit.consecutive_orders}{above}{drift}{lines}, noise {f.noise_mm:.5f} mm, "
        f"condition {fit.condition:.1f}",
    ]
    if uncertainty:
        steps.append(
            f"uncertainty: {uncertainty.branch}, {uncertainty.dof:.0f} degrees of freedom, other lines "
            f"{f.other_u_mm:.5f} mm"
        )
    steps.append(f"bumps: {len(f.search.bumps)}")
    steps.append(f"checks: {len(checks)}, " + (", ".join(not_clear) if not_clear else "all clear"))
    if decision:
        steps.append(
            f"decision: {decision.quantity} {decision.number.value:.4f} mm against "
            f"{decision.limit_mm:.4f} mm: {decision.state}"
        )
    return steps
