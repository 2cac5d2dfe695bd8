"""Results of several sweeps together as JSON objects; their keys are a promise.

Keys are always there; what cannot be had is null, never NaN.
"""

import cmath
import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from analysis.correction import Adjustment, CutPlan, HolePositions, Position, Prediction, depth_at
from analysis.decision import Decision
from analysis.measurands import Axis, Comparison, Form, comparability_check
from analysis.numerics import OrderVectors
from analysis.separation import TwoTips, first_of, tir_of
from logger.inputs import AnalysedSweep
from logger.studies import AtPlane, PassCheck, RelatedSweeps, RemountCheck, SeparationStudy


def separation_object(told: SeparationStudy) -> dict[str, Any]:
    """Return the object of ``separate``."""
    found = told.found
    known = found.first_separable or told.moved is not None
    part = tir_of(found.part).value_mm if found.first_separable else None
    firsts = [first_of(one, told.other_u_mm) for one in (found.part, found.spindle)]
    ends = [list(one.interval_mm) if known else None for one in firsts]
    return {
        "orders": [
            {
                "n": one.n,
                "part_cos_mm": None if one.part_mm is None else one.part_mm.real,
                "part_sin_mm": None if one.part_mm is None else one.part_mm.imag,
                "u_part_mm": one.u_part_mm,
                "spindle_cos_mm": None if one.spindle_mm is None else one.spindle_mm.real,
                "spindle_sin_mm": None if one.spindle_mm is None else one.spindle_mm.imag,
                "u_spindle_mm": one.u_spindle_mm,
                "separable": one.separable,
                "noise_factor": one.noise_factor,
            }
            for one in found.orders
        ],
        "part_tir_mm": part,
        "spindle_tir_mm": tir_of(found.spindle).value_mm if known else None,
        "part_first_95_mm": ends[0] if found.first_separable else None,
        "spindle_first_95_mm": ends[1],
        "one_degree_mm": told.one_degree_mm,
        "not_separable": list(found.not_separable),
        "best_next_deg": found.best_next_deg,
        "half_turn": [_remount(one) for one in told.remounts],
        "after_cut_half_turn_first_mm": told.would_read.tir_first_mm if told.would_read else None,
        "after_cut_half_turn_arbor_deg": told.would_read.high_side_deg if told.would_read else None,
        "bumps": list(told.bumps),
        "notes": list(told.notes),
    }


def _remount(one: RemountCheck) -> dict[str, Any]:
    """Return what a sweep after the cut shows; nulls where it shows nothing of order 1."""
    told = one.told
    spindle = None if 1 in told.blind_orders else first_of(told.spindle)
    return {
        "file": one.sweep.name,
        "step_deg": told.step_deg,
        "reads_first_mm": told.reads.tir_first_mm,
        "reads_first_arbor_deg": told.reads.high_side_deg,
        "times": told.times,
        "spindle_first_mm": spindle.tir_first_mm if spindle else None,
        "spindle_first_95_mm": list(spindle.interval_mm) if spindle else None,
        "spindle_first_arbor_deg": spindle.high_side_deg if spindle else None,
        "blind_orders": list(told.blind_orders),
    }


def mounting_object(name: str, told: Prediction, advice: str, decision: Decision) -> dict[str, Any]:
    """Return one mounting of ``plan-cut``."""
    return {
        "file": name,
        "mount_first_mm": told.mount_first.tir_first_mm,
        "mount_first_part_deg": told.mount_first.high_side_deg,
        "predicted_tir_mm": told.tir.value_mm,
        "u_predicted_tir_mm": told.tir.u_mm,
        "predicted_tir_95_mm": list(told.tir.interval_mm),
        "predicted_first_mm": told.predicted.tir_first_mm,
        "predicted_high_side_deg": told.predicted.high_side_deg,
        "orders_predicted": told.orders_predicted,
        "advice": advice,
        "why": decision.why,
    }


def card_object(card: CutPlan, between: PassCheck | None = None) -> dict[str, Any]:
    """Return the cut card of ``plan-cut``."""
    return {
        "least_stock_mm": card.least_stock_mm,
        "depth_mm": card.depth_mm,
        "passes": list(card.passes_mm),
        "first_touch_part_deg": card.first_touch_deg,
        "uncut_after_pass": list(card.uncut_after_pass_deg),
        "depth_by_angle": [{"part_deg": deg, "depth_mm": mm} for deg, mm in depth_at(card, 36)],
        "still_uncut_deg": between.uncut_deg if between else None,
        "left_to_cut_mm": between.left_mm if between else None,
        "stock_left_mm": card.stock_left_mm,
        "axial_shift_mm": card.axial_shift_mm,
        "stops": list(card.stops),
        "notes": list(card.notes),
    }


def holes_object(found: HolePositions) -> dict[str, Any]:
    """Return the object of ``best-hole``."""
    return {
        "positions": [_position(one) for one in found.positions],
        "best": _position(found.best),
        "not_separable": list(found.not_separable),
    }


def _position(one: Position) -> dict[str, Any]:
    return {
        "hole": one.hole,
        "deg": one.deg,
        "tir_mm": one.tir.value_mm if one.tir else None,
        "u_tir_mm": one.tir.u_mm if one.tir else None,
        "tir_95_mm": list(one.tir.interval_mm) if one.tir else None,
        "first_mm": one.first_mm,
        "high_side_deg": one.high_side_deg,
    }


def comparison_object(before: AnalysedSweep, after: AnalysedSweep, found: Comparison) -> dict[str, Any]:
    """Return the object of ``compare``."""
    return {
        "before": _side(before),
        "after": _side(after),
        "change_first_mm": found.first.tir_first_mm if found.first else None,
        "u_change_first_mm": found.first.u_mm if found.first else None,
        "change_first_part_deg": found.first.high_side_deg if found.first else None,
        "u_change_deg": found.first.u_deg if found.first else None,
        "change_first_95_mm": list(found.first.interval_mm) if found.first else None,
        "comparable": found.comparable,
        "check": asdict(comparability_check(found.differences)),
        "differences": [
            {"field": one.field, "before": one.before, "after": one.after, "effect": one.effect}
            for one in found.differences
        ],
    }


def _side(one: AnalysedSweep) -> dict[str, Any]:
    p, setup = one.result.pooled, one.result.setup
    return {
        "file": one.name,
        "part": setup.part,
        "stage": setup.stage,
        "turns": p.turns,
        "tir_raw_mm": p.tir_raw_mm,
        "tir_fit_mm": p.tir_fit_mm,
        "u_tir_fit_mm": p.u_tir_fit_mm,
        "tir_fit_95_mm": list(p.tir_fit_95_mm),
        "tir_first_mm": p.tir_first_mm,
        "high_point_deg": p.high_point_deg,
        "high_side_deg": p.high_side_deg,
    }


def adjustment_object(found: Adjustment) -> dict[str, Any]:
    """Return the object of ``adjust``."""
    return {
        "moves": [{"deg": one.deg, "move_mm": one.move_mm} for one in found.moves],
        "left_first_mm": found.left_first_mm,
    }


def orders_object(vectors: OrderVectors | None) -> list[dict[str, Any]]:
    """Return the orders of a curve, each with the uncertainty of its components."""
    if vectors is None:
        return []
    parts: Sequence[tuple[float, float, float]] = list(
        zip(vectors.cos_mm.tolist(), vectors.sin_mm.tolist(), vectors.u_mm.tolist(), strict=True)
    )
    return [{"n": n, "cos_mm": a, "sin_mm": b, "u_mm": u} for n, (a, b, u) in enumerate(parts, 1)]


def form_object(form: Form) -> dict[str, Any]:
    """Return what ``sweep --form`` adds."""
    return {
        "lsc_mm": form.lsc_mm,
        "mzc_mm": form.mzc_mm,
        "mic_mm": form.mic_mm,
        "mcc_mm": form.mcc_mm,
        "flatness_mm": form.flatness_mm,
        "total_mm": form.total_mm,
    }


def together_object(told: RelatedSweeps) -> dict[str, Any]:
    """Return what several sweeps add to the object of ``sweep``."""
    found = told.lag_and_play
    return {
        "two_ways": [
            {
                "on": one.on.name,
                "back": one.back.name,
                "shift_deg": math.degrees(one.pair.shift_rad),
                "u_shift_deg": math.degrees(one.pair.u_shift_rad),
            }
            for one in told.two_ways
        ],
        "lag_s": found.lag_s if found else None,
        "u_lag_s": found.u_lag_s if found else None,
        "play_mm": found.play_mm if found else None,
        "u_play_mm": found.u_play_mm if found else None,
        "creep": [
            {"first": one.first.name, "last": one.last.name, "moved_mm": one.moved_mm} for one in told.creep
        ],
        "bumps": list(told.bumps),
    }


def axis_object(axis: Axis, at: Sequence[AtPlane]) -> dict[str, Any]:
    """Return what ``sweep --plane`` adds."""
    return {
        "planes_mm": [axis.first_plane_mm, axis.second_plane_mm],
        "tilted": axis.tilted,
        "slope_mrad": abs(axis.slope_mrad),
        "slope_deg": math.degrees(cmath.phase(axis.slope_mrad)) % 360.0,
        "least_plane_mm": axis.crossing_plane_mm,
        "at": [
            {
                "plane_mm": one.plane_mm,
                "tir_first_mm": one.first.tir_first_mm,
                "tir_first_95_mm": list(one.first.interval_mm),
                "high_side_deg": one.first.high_side_deg,
            }
            for one in at
        ],
    }


def two_tips_object(told: TwoTips) -> dict[str, Any]:
    """Return what ``sweep --opposed`` adds."""
    face, walk = first_of(told.opposed.face), told.opposed.walk_once
    return {
        "apart_deg": told.apart_deg,
        "walk_tir_mm": told.opposed.walk_tir_mm,
        "walk_first_mm": walk.tir_first_mm,
        "walk_first_deg": walk.high_side_deg,
        "face_first_mm": face.tir_first_mm,
        "face_first_95_mm": list(face.interval_mm),
        "face_high_side_deg": face.high_side_deg,
        "one_tip_tir_mm": told.alone.pooled.tir_fit_mm,
        "one_tip_first_mm": told.alone.pooled.tir_first_mm,
        "not_separable": list(told.opposed.not_separable),
    }
