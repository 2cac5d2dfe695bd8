"""What a cut on one mounting would leave, and its card, for ``plan-cut`` and the screen alike."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from analysis.correction import (
    OTHER_LINES,
    CutPlan,
    Prediction,
    Track,
    advise,
    plan_cut,
    predict_cut,
    still_uncut_deg,
)
from analysis.decision import Decision, limit_at_track
from analysis.errors import BadInput
from analysis.measurands import axis_from_planes
from analysis.numerics import Component, OrderVectors, UncertainNumber
from analysis.separation import LateGauge, SweepShare, first_of, late_gauge, lines_of_shares, tir_of
from analysis.setup import Limit, Surface
from analysis.sweep import gauge_taken_as, held_against_limits
from analysis.uncertainty import BudgetLine
from logger.inputs import AnalysedSweep, clock_apart_deg

CARD_LENGTHS = ("allowance", "pass_depth", "stock", "minimum")
CLEAR_OF_SCATTER = 4.0
"""A place is told from the level of the cut where it lies so many standard uncertainties under it."""


@dataclass(frozen=True)
class CutStudy:
    """One mounting with what a cut on it would leave."""

    sweep: AnalysedSweep
    prediction: Prediction
    advice: str
    """``mounting-good``, ``mount-again`` or ``undecided``."""
    decision: Decision
    limit: Limit
    limit_mm: float
    """At the track of the bearings' sweep."""
    notes: tuple[str, ...]
    unseen: tuple[BudgetLine, ...] = ()
    """Lines that no sweep shows by itself, as they come through the prediction: the decision holds them."""
    late: LateGauge = field(default_factory=LateGauge)
    """What a late gauge does to the prediction."""
    taken_as: tuple[str, ...] = ()
    """What was assumed of the gauge."""

    @property
    def mount_high_side(self) -> UncertainNumber:
        """High side of the mount vector on the part, degrees, the gauge's delay allowed for."""
        return self.late.on_angle(self.prediction.mount_first.high_side)

    @property
    def predicted_high_side(self) -> UncertainNumber:
        """High side of what a cut would leave, degrees, likewise."""
        return self.late.on_angle(first_of(self.prediction.predicted).high_side)


@dataclass(frozen=True)
class PassCheck:
    """What a sweep between passes tells."""

    sweep: AnalysedSweep
    uncut_deg: float
    """How much of the turn is not touched yet."""
    left_mm: float
    """What still has to go for the face to clean up, allowance not counted."""


def study_cut(
    own: AnalysedSweep,
    one: AnalysedSweep,
    limit: Limit,
    surface: str,
    *,
    mounts: Sequence[OrderVectors] = (),
    comes_off: bool = False,
    second_plane: AnalysedSweep | None = None,
    tracks: Sequence[AnalysedSweep] = (),
) -> CutStudy:
    """Predict a cut on mounting ``one`` from the bearings' sweep ``own`` and hold it against a limit.

    ``mounts`` are the mount vectors so far, whose scatter joins where the part ``comes_off`` before the cut;
    ``second_plane`` and ``tracks`` as in ``predict``.
    """
    limit_mm, scaled = limit_at_track(limit, own.result.setup)
    prediction = predict(
        own, one, surface, mounts=mounts, comes_off=comes_off, second_plane=second_plane, tracks=tracks
    )
    others = [second_plane] if second_plane else []
    weights = weights_of(own, one, surface, second_plane=second_plane, tracks=tracks)
    counted = [each for each, _ in weights]
    shares = shares_of(weights, own, prediction.orders_predicted)
    late = late_gauge(shares)
    unseen = (*lines_of_shares(shares), *late.of(limit.quantity))
    advice, decision = advise(
        prediction,
        limit_mm,
        quantity=limit.quantity,
        limit_as_written=limit.length.as_written,
        refused=[text for sweep in (own, *others, one, *tracks) for text in sweep.refused],
        unseen=unseen,
        steps_mm=math.hypot(*(weight * each.result.steps_mm for each, weight in weights)),
        looks=max((each.result.looks for each in counted), key=lambda looks: (looks.too_early, looks.z)),
    )
    notes = ([scaled] if scaled else []) + list(prediction.remarks)
    if not clock_apart_deg(one)[1]:
        notes.append("tip_clock and tool_clock not both entered: taken as the same place")
    taken = [text for each in counted for text in gauge_taken_as(each.result.setup, each.step_mm)]
    return CutStudy(
        one,
        prediction,
        advice,
        decision,
        limit,
        limit_mm,
        tuple(notes),
        unseen,
        late,
        tuple(dict.fromkeys(taken)),
    )


def weights_of(
    own: AnalysedSweep,
    one: AnalysedSweep,
    surface: str,
    *,
    second_plane: AnalysedSweep | None = None,
    tracks: Sequence[AnalysedSweep] = (),
) -> list[tuple[AnalysedSweep, float]]:
    """Return each sweep of a prediction with the factor of its order 1 in what a cut would leave."""
    if surface != Surface.FACE:
        first, second, wanted = plane_mm(own), plane_mm(second_plane) if second_plane else None, plane_mm(one)
        if second_plane is None or first is None or second is None or wanted is None:
            return [(own, 1.0), (one, -1.0)]
        share = (wanted - first) / (second - first)
        return [(own, 1.0 - share), (second_plane, share), (one, -1.0)]
    wanted, here = own.result.setup.track_radius_mm, one.result.setup.track_radius_mm
    if wanted is None or here is None or wanted == here:
        return [(own, 1.0), (one, -1.0)]
    there = tracks[0].result.setup.track_radius_mm if tracks else None
    if there is None:
        return [(own, 1.0), (one, -wanted / here)]
    share = (wanted - here) / (there - here)
    return [(own, 1.0), (one, share - 1.0), (tracks[0], -share)]


def shares_of(
    weights: Sequence[tuple[AnalysedSweep, float]], own: AnalysedSweep, highest_order: int
) -> list[SweepShare]:
    """Return sweeps as they go into a curve of so many orders, in part angle as ``own`` was seen."""
    return [
        each.as_share(weight * each.on_part(own).z_mm[:highest_order], weight, own)
        for each, weight in weights
    ]


def predict(
    own: AnalysedSweep,
    one: AnalysedSweep,
    surface: str,
    *,
    mounts: Sequence[OrderVectors] = (),
    comes_off: bool = False,
    second_plane: AnalysedSweep | None = None,
    tracks: Sequence[AnalysedSweep] = (),
) -> Prediction:
    """Return what a perfect cut on mounting ``one`` would leave in the part's own bearings.

    ``second_plane`` is another sweep in the bearings, of an outside or bore at another plane: the two tell
    order 1 at the plane of the mounting. ``tracks`` are further tracks of a face on this mounting: two tell
    order 1 at the radius of the bearings' sweep, axial motion and tilt apart.
    """
    bearings, at_lathe = own.on_part(), one.on_part(own)
    own_radius, lathe_radius = own.result.setup.track_radius_mm, one.result.setup.track_radius_mm
    said: list[str] = []
    if surface != Surface.FACE:
        bearings = _at_plane(own, second_plane, one, bearings, said)
    elif tracks and own_radius is not None and lathe_radius is not None and own_radius != lathe_radius:
        at_lathe = _at_radius(one, tracks[0], own, at_lathe, said)
        bearings, lathe_radius = bearings.up_to(1), own_radius
    weights = weights_of(own, one, surface, second_plane=second_plane, tracks=tracks)
    found = predict_cut(
        bearings,
        at_lathe,
        bearings_radius_mm=own_radius,
        lathe_radius_mm=lathe_radius,
        surface=surface,
        clock_apart_deg=clock_apart_deg(one)[0],
        other_u_mm=math.hypot(*(weight * each.result.other_u_mm for each, weight in weights)),
        mountings=mounts,
        comes_off=comes_off,
    )
    return replace(found, remarks=(*said, *found.remarks))


def plane_mm(one: AnalysedSweep) -> float | None:
    """Return the plane along the axis a sweep of an outside or bore was taken at; None where not entered."""
    return one.result.setup.track_plane_mm


def _at_plane(
    own: AnalysedSweep,
    second: AnalysedSweep | None,
    one: AnalysedSweep,
    bearings: OrderVectors,
    said: list[str],
) -> OrderVectors:
    """Return the bearings' orders at the plane of the mounting."""
    at, wanted = plane_mm(own), plane_mm(one)
    if second is None:
        if at != wanted:
            raise BadInput(
                f"{own.name} lies at track_plane {_plane(at)} and {one.name} at {_plane(wanted)}: an outside "
                "or bore is predicted in the same plane; sweep that one, or give a second --bearings at "
                "another plane"
            )
        return bearings
    other = plane_mm(second)
    if at is None or other is None or wanted is None:
        missing = next(each.name for each in (own, second, one) if plane_mm(each) is None)
        raise BadInput(f"{missing} has no track_plane: with sweeps at two planes every sweep needs its own")
    said.append(
        f"bearings at planes {at:g} and {other:g} mm tell order 1 at the mounting's {wanted:g} mm; orders 2 "
        "and up have no prediction there"
    )
    return axis_from_planes(bearings, at, second.on_part(own), other).at(wanted)


def _plane(mm: float | None) -> str:
    return "not entered" if mm is None else f"{mm:g} mm"


def _at_radius(
    one: AnalysedSweep, track: AnalysedSweep, own: AnalysedSweep, at_lathe: OrderVectors, said: list[str]
) -> OrderVectors:
    """Return order 1 of the mounting at the radius of the bearings' sweep, from two tracks of the face."""
    radii = [each.result.setup.track_radius_mm for each in (one, track, own)]
    if radii[0] is None or radii[1] is None or radii[2] is None:
        raise BadInput(f"{track.name} has no track_radius: every track of a face needs its own; set it")
    said.append(
        f"tracks at {radii[0]:g} and {radii[1]:g} mm tell order 1 at the bearings' {radii[2]:g} mm; orders 2 "
        "and up have no prediction there"
    )
    return axis_from_planes(at_lathe, radii[0], track.on_part(own), radii[1]).at(radii[2])


def check_tracks(now: AnalysedSweep, tracks: Sequence[AnalysedSweep], surface: str) -> None:
    """Raise BadInput for a track that is no other track of the mounting on the lathe now."""
    for one in tracks:
        setup, own = one.result.setup, now.result.setup
        if None not in (one.index_deg, now.index_deg) and one.index_deg != now.index_deg:
            raise BadInput(
                f"{one.name} was measured with the part's mark at {one.index_deg:g} deg and {now.name} at "
                f"{now.index_deg:g} deg: tracks are of one mounting; sweep the part as it stands now"
            )
        if surface == Surface.FACE and setup.track_radius_mm is None:
            raise BadInput(f"{one.name} has no track_radius: every track of a face needs its own; set it")
        if surface == Surface.FACE and setup.track_radius_mm == own.track_radius_mm:
            raise BadInput(
                f"{one.name} and {now.name} are both at radius {own.track_radius_mm:g} mm: give --track at "
                "another radius"
            )


def card_of(
    own: AnalysedSweep,
    now: CutStudy,
    lengths_mm: Mapping[str, float | None],
    surface: str,
    tracks: Sequence[AnalysedSweep] = (),
) -> CutPlan:
    """Return the cut card of the mounting that is on the lathe now; lengths by the names of CARD_LENGTHS.

    ``tracks`` are further tracks of the same face on this mounting, the indicator's zero not touched.
    """
    stops = [f"mount it again: {now.decision.why}"] if now.advice == "mount-again" else []
    every = [now.sweep, *tracks]
    return plan_cut(
        [Track(one.on_part(own), one.result.mean_mm, one.reach_of_high_point(own)) for one in every],
        guard_mm=max(_guard_mm(one) for one in every),
        allowance_mm=lengths_mm.get("allowance") or 0.0,
        pass_depth_mm=lengths_mm.get("pass_depth"),
        stock_mm=lengths_mm.get("stock"),
        minimum_mm=lengths_mm.get("minimum"),
        surface=surface,
        stops=stops,
    )


def _guard_mm(one: AnalysedSweep) -> float:
    """Return by how much the TIR of a sweep on the lathe may be more than it reads, as a decision would."""
    result, vectors = one.result, one.vectors
    held = held_against_limits(
        tir_of(vectors),
        result.looks,
        vectors.dof,
        steps_mm=(result.steps_mm, result.steps_mm),
        other={OTHER_LINES: Component(result.other_u_mm)},
        unseen=result.unseen,
    )
    return held.one_sided()[1] - held.value


def between_passes(own: AnalysedSweep, now: CutStudy, between: AnalysedSweep) -> PassCheck:
    """Return what a sweep between passes tells of the arc still uncut."""
    after, before = between.on_part(own), now.sweep.on_part(own)
    u_apart_mm = math.hypot(*(float(math.sqrt(sum(one.u_mm**2))) for one in (after, before)))
    step = 2.0 * between.result.gauge.resolution_mm
    uncut = still_uncut_deg(after, before, max(CLEAR_OF_SCATTER * u_apart_mm, step))
    return PassCheck(between, uncut, after.extremes.tir_mm)
