"""Which lines of the budget no sweep shows by itself, from what was declared and how it was turned."""

import math
from dataclasses import replace

import numpy as np

from analysis.capture import AngleSource
from analysis.diagnosis import Hysteresis
from analysis.numerics import NORMAL, RECTANGULAR, Component
from analysis.setup import GaugeType, MarkKind, Setup
from analysis.sweep.fitting import FittedSweep
from analysis.sweep.lateness import TAU_MAX_S
from analysis.uncertainty import (
    GIVEN_AS,
    LAG_OF_GAUGE,
    BudgetLine,
    GaugeDeclared,
    LineOn,
    LineOrigin,
    averaging,
    default_error_mm,
    default_hysteresis_mm,
    encoder_off_centre,
    gauge_error,
    hysteresis,
    mark_by_eye,
    play_on_angle,
    reading_u_mm,
    set_by_eye,
    stand_warms,
)

_FEWEST_TO_BEND = 3


def unseen_lines(f: FittedSweep, play: Hysteresis | None) -> tuple[BudgetLine, ...]:
    """Return gauge, setting, averaging, encoder, mark and drift, on the TIR (mm) and on the high side (deg).

    ``play`` is what the ground passed twice tells of it.
    """
    capture, amplitudes = f.capture, f.fit.amplitude_mm
    first, second = float(amplitudes[0]), float(amplitudes[1]) if len(amplitudes) > 1 else 0.0
    declared = declared_gauge(capture.setup, play, f.digit_mm)
    held = hysteresis(declared, f.digit_mm)
    lines = [
        gauge_error(declared, f.digit_mm),
        held,
        set_by_eye(
            f.fit.tir_mm,
            capture.setup.gauge_angle_deg,
            lever=capture.setup.gauge_type is GaugeType.LEVER,
        ),
        stand_warms(_half_change_of_slope_mm(f)),
    ]
    speed = _rad_per_s(f)
    if speed is not None:
        lines.append(_averaging(f, [float(each) for each in amplitudes], speed))
    if f.lag.speed_rad_s:
        lines.append(_lag_on_angle(f))
    if capture.angle_source is AngleSource.ENCODER and capture.counts_per_turn:
        lines += encoder_off_centre(first, second)
    whole = declared.play_found_mm
    if whole is None:
        given = declared.hysteresis_mm
        whole = default_hysteresis_mm(f.digit_mm) if given is None else given
    on_angle = play_on_angle(first, whole, held.origin)
    lines += [on_angle] if on_angle else []
    if capture.setup.mark is MarkKind.EVENT:
        lines.append(mark_by_eye())
    return tuple(lines)


def _origin_of_lag(f: FittedSweep) -> LineOrigin:
    if not f.lag.known:
        return LineOrigin.DEFAULT
    return LineOrigin.SWEEP if f.lag.found else LineOrigin.SET_UP


def _averaging(f: FittedSweep, amplitudes_mm: list[float], rad_per_s: float) -> BudgetLine:
    """Return what a window of twice the lag hides, the lag as late as what tells it allows."""
    latest_s = max(0.0, f.lag.lag_s + 2.0 * f.lag.u_s) if f.lag.known else f.lag.most_s or TAU_MAX_S
    return replace(averaging(amplitudes_mm, rad_per_s, latest_s), origin=_origin_of_lag(f))


def _lag_on_angle(f: FittedSweep) -> BudgetLine:
    """Return what the lag leaves unsure of every angle, a rectangle to one side where nothing tells it."""
    may_deg = math.degrees(abs(f.lag.may_turn_rad))
    part = Component(
        math.degrees(f.lag.u_turned_rad) if f.lag.known else may_deg / math.sqrt(12.0),
        one_sided=not f.lag.known,
        distribution=NORMAL if f.lag.known else RECTANGULAR,
    )
    return BudgetLine(LAG_OF_GAUGE, _origin_of_lag(f), part, LineOn.ANGLE)


def declared_gauge(setup: Setup, play: Hysteresis | None = None, step_mm: float = 0.0) -> GaugeDeclared:
    """Return what certificate and set-up say, and the ground passed twice where it shows more than a step."""
    found = play is not None and play.clear and play.play_mm > step_mm
    return GaugeDeclared(
        None if setup.gauge_error_mm is None else reading_u_mm(setup.gauge_error_mm, setup.error_means),
        GIVEN_AS[setup.error_means],
        setup.gauge_hysteresis_mm,
        play.play_mm if play is not None and found else None,
        play.u_mm if play is not None and found else 0.0,
    )


def gauge_taken_as(setup: Setup, step_mm: float) -> tuple[str, ...]:
    """Return the sentence that says which error of the gauge was assumed; none where one was declared."""
    if setup.gauge_error_mm is not None:
        return ()
    why = (
        "its certificate's table says nothing of its uncertainty (set gauge_error)"
        if setup.gauge_table_mm
        else "no certificate entered"
    )
    return (f"gauge taken as +-{default_error_mm(step_mm):.3f} mm: {why}",)


def _rad_per_s(f: FittedSweep) -> float | None:
    """Return the mean speed of the turns; None where readings were taken at places, or without times."""
    if f.few_places or not f.capture.timed or f.capture.angle_source.is_by_places:
        return None
    lasted_s = sum(turn.end_s - turn.start_s for turn in f.turns)
    return 2.0 * math.pi * len(f.turns) / lasted_s if lasted_s > 0.0 else None


def _half_change_of_slope_mm(f: FittedSweep) -> float | None:
    """Return half of what a straight drift changes its slope by, mm a turn, from the means of the turns."""
    turns = len(f.turns)
    if turns < _FEWEST_TO_BEND or f.few_places or f.fit.drift_mm_per_s is None:
        return None
    at, left_mm = f.mean_left_mm
    if len(at) < _FEWEST_TO_BEND:
        return None
    return abs(float(np.polyfit(at, left_mm, 2)[0])) * turns
