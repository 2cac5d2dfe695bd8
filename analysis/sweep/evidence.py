"""What the checks look at, gathered from a fitted sweep."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats, Window
from analysis.checks import Evidence
from analysis.diagnosis import (
    Hysteresis,
    Slip,
    Standstill,
    find_flats,
    find_jump,
    play_from_going_back,
    slip_between_turns,
)
from analysis.harmonics import fit_harmonics
from analysis.numerics import Complexes, evaluate
from analysis.sweep.fitting import ANGLES_BY_TIME, MOST_VALUES, FittedSweep
from analysis.sweep.quantities import difference_between_turns_mm

_LOW_ORDERS = 5
"""Turns are compared in so few orders, which noise moves little."""
_JUMP_ORDERS = 15
_POINTS = 360


def gather_evidence(f: FittedSweep, reference_mm: float, windows: Sequence[Window]) -> Evidence:
    """Return the evidence of a fitted sweep; ``reference_mm`` is the limit at the track or the fitted TIR."""
    noise, turns = f.local_noise_mm, len(f.turns)
    values = f.pool.values
    lasted_s = float(np.mean([turn.end_s - turn.start_s for turn in f.turns]))
    drift = f.fit.drift_mm_per_s
    per_turn = len(values) / turns
    grid: Floats = np.linspace(0.0, 2.0 * math.pi, _POINTS, endpoint=False)
    curves = np.array([_drawn(_padded(turn.vectors_mm), grid) for turn in f.turns])
    in_turns = np.concatenate([turn.where for turn in f.pool.turns])
    jump = None
    if not f.few_places:
        # A step stays: of a very long sweep every few readings show it as well as all.
        few = slice(None, None, 1 + len(values) // MOST_VALUES)
        jump = find_jump(
            values.angle_rad[few],
            values.reading_mm[few],
            values.t_s[few],
            orders=min(f.fit.highest_order, _JUMP_ORDERS),
            noise_mm=noise,
            resolution_mm=f.gauge_facts.resolution_mm,
        )
    return Evidence(
        capture=f.capture,
        turns=f.turns,
        other_direction=f.pool.other_direction,
        refused_turns=f.pool.refused,
        gauge=f.gauge_facts,
        reference_mm=reference_mm,
        # Eleven coefficients of each of two turns: the standard deviation of their difference at one angle.
        noise_of_curve_mm=noise * math.sqrt(2 * (1 + 2 * _LOW_ORDERS) / max(per_turn, 1.0)),
        closure_mm=None if f.closure_mm is None else f.closure_mm - (drift or 0.0) * lasted_s,
        closure_noise_mm=noise * f.closure_per_noise,
        drift_per_turn_mm=None if drift is None else drift * lasted_s,
        drift_noise_mm=noise * math.sqrt(12.0 / max(len(values), 1)) / turns,
        # Bent sideways by uneven turning, curves differ where heights do not.
        repeat_mm=float(np.ptp([turn.tir_fit_mm for turn in f.turns]))
        if f.capture.angle_source in ANGLES_BY_TIME
        else difference_between_turns_mm(curves),
        bumps=f.search.bumps,
        flats=_flats(f, noise),
        out_of_range_share=float(np.mean(f.capture.samples.out_of_range[in_turns])),
        jump=jump,
        places=f.pool.places,
        together_gap_deg=f.pool.gap_deg,
        holes_left_out=len(windows),
        few_places=f.few_places,
        lag=f.lag,
        play=_play(f, noise),
        slip=_slip(f, noise, per_turn),
    )


def _play(f: FittedSweep, noise_mm: float) -> Hysteresis | None:
    """Return what the ground trodden twice tells of play, a lag that is seen allowed for."""
    if f.few_places or not f.capture.timed:
        return None
    s = f.capture.samples
    mine = s.new & ~s.out_of_range & (s.segment == f.pool.values.segment[-1])
    lag = f.lag if f.lag is not None and f.lag.clear else None
    return play_from_going_back(
        s.t_s[mine],
        s.angle_rad[mine],
        s.reading_mm[mine],
        f.fit,
        direction=f.turns[0].direction,
        noise_mm=noise_mm,
        lag_s=lag.lag_s if lag else 0.0,
        speed_rad_s=lag.speed_rad_s if lag else 0.0,
    )


def _slip(f: FittedSweep, noise_mm: float, per_turn: float) -> Slip | None:
    """Return the slip between turns where no index pulse checks the counts."""
    if f.few_places or len(f.capture.index.angle_rad) > 1 or not f.capture.counts_per_turn:
        return None
    u = noise_mm * math.sqrt(2.0 / max(per_turn, 1.0))
    return slip_between_turns(_vectors_of_turns_mm(f), u)


def _vectors_of_turns_mm(f: FittedSweep) -> list[Complexes]:
    """Return the orders of every turn by itself; of a gauge seen to be late, at the angles of then."""
    if f.lag is None or not f.lag.clear:
        return [turn.vectors_mm for turn in f.turns]
    # At another speed a late gauge turns the part by another angle: that is no slip.
    s, values = f.capture.samples, f.pool.values
    here = s.segment == values.segment[-1]
    then_s, known_s = values.t_s - f.lag.lag_s, s.t_s[here]
    angle = np.interp(then_s, known_s, s.angle_rad[here])
    edges = np.searchsorted(f.pool.turn, np.arange(1, len(f.turns)))
    split = (np.split(each, edges) for each in (then_s, angle, values.reading_mm))
    # Where a turn's first readings are of before there were angles, that turn is left out.
    return [
        fit_harmonics(angles, readings, highest_order=len(turn.vectors_mm)).vectors_mm
        for turn, then, angles, readings in zip(f.turns, *split, strict=True)
        if then[0] >= known_s[0]
    ]


def _flats(f: FittedSweep, noise_mm: float) -> list[Standstill]:
    """Return stretches of standstill, each held against what all the other readings say."""
    if f.few_places:
        return []
    values = f.pool.values
    return find_flats(
        values.angle_rad,
        values.reading_mm,
        f.detrended_mm,
        f.pool.turn,
        noise_mm=noise_mm,
        resolution_mm=f.gauge_facts.resolution_mm,
    )


def _padded(vectors: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Return the low orders of a turn, those it does not carry as nothing."""
    low = np.zeros(_LOW_ORDERS, np.complex128)
    low[: min(len(vectors), _LOW_ORDERS)] = vectors[:_LOW_ORDERS]
    return low


def _drawn(vectors: NDArray[np.complex128], angle_rad: Floats) -> Floats:
    return evaluate(vectors.real, vectors.imag, angle_rad)
