"""What a cut on this mounting would leave: mount vectors, the predicted sweep, and advice.

The mount vector is lathe less bearings, seat + spindle (+ dirt), in part angle. A perfect cut makes the
face true to the lathe's axis and so leaves MINUS the mount vector in the part's own bearings: predicted
P' = bearings - lathe, all orders, on the same track with the tip at the tool's clock place. Knows nothing of
spring-back, push-off, a warm part or spindle motion that does not repeat: those are not included.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis.decision import ONE_LOOK, Decidable, Decision, DecisionState, Looks
from analysis.errors import BadInput
from analysis.numerics import (
    Component,
    OrderVectors,
    UncertainNumber,
    as_vectors,
    combined,
    normal_quantile,
    t_quantile,
)
from analysis.separation import AXIAL_MOTION_TIR_MM, first_of, plane_at_radius, tir_of
from analysis.setup import Quantity, Surface
from analysis.sweep import held_against_limits
from analysis.uncertainty import BudgetLine, FirstOrderEstimate

ADVICE = {
    DecisionState.WITHIN: "mounting-good",
    DecisionState.OVER: "mount-again",
    DecisionState.UNDECIDED: "undecided",
}
PREDICTED_QUANTITIES = (Quantity.TIR, Quantity.TIR_FIRST, Quantity.ECCENTRICITY)
OTHER_LINES = "other lines of the sweeps"
"""Resolution, closure and angle of the sweeps, clock places and scatter of mountings, in quadrature."""
NOT_INCLUDED = (
    "spring-back when the part is let go, push-off of the tool, a warm part, spindle motion that does not "
    "repeat (it stays as waviness), cone or dish (shows only over several tracks), orders 2 and up at "
    "cutting speed"
)


@dataclass(frozen=True)
class Prediction:
    """What a perfect cut on this mounting would leave in the part's own bearings."""

    mount: OrderVectors
    """Lathe less bearings, part angle, at the radius of the lathe's track."""
    mount_first: FirstOrderEstimate
    predicted: OrderVectors
    """P' in part angle, at the radius of the bearings' track."""
    tir: UncertainNumber
    """TIR of all predicted orders, as far as the sweeps by themselves tell it."""
    tir_by_scatter: UncertainNumber
    """The same with nothing in it but what other sweeps would draw anew."""
    other_u_mm: float
    orders_predicted: int
    """1 where the radii differ: a plane says nothing of higher orders elsewhere."""
    remarks: tuple[str, ...]

    def __repr__(self) -> str:
        """Return what would be left on one line."""
        low, high = self.tir.interval()
        return f"Prediction(TIR {self.tir.value:.4f} mm [{low:.4f}, {high:.4f}], {self.predicted!r})"


def predict_cut(
    bearings: Any,
    lathe: Any,
    *,
    bearings_radius_mm: float | None = None,
    lathe_radius_mm: float | None = None,
    surface: str = Surface.FACE,
    clock_apart_deg: float = 0.0,
    other_u_mm: float = 0.0,
    mountings: Sequence[Any] = (),
    comes_off: bool = False,
    seed: int = 1,
) -> Prediction:
    """Predict the sweep in the part's own bearings after a perfect cut on this mounting.

    Parameters: orders of both sweeps in PART angle, seen from the same end (Vectors, results, complex arrays
    in mm); radii of both tracks (mm), of a face; ``clock_apart_deg`` from the tip's clock place to the
    tool's; ``other_u_mm`` budget lines that are not random; ``mountings`` mount vectors of this part so far,
    whose scatter joins only if the part ``comes_off`` before the cut. Raises BadInput where one radius is
    missing, or where an outside is asked to scale.
    """
    at_bearings, at_lathe = as_vectors(bearings, "bearings"), as_vectors(lathe, "lathe")
    remarks: list[str] = []
    scale = _scale(bearings_radius_mm, lathe_radius_mm, surface, remarks)
    there, here = at_bearings, at_lathe
    if scale != 1.0:
        there, here = plane_at_radius(at_bearings, scale), plane_at_radius(at_lathe, 1.0 / scale)
        at_bearings, at_lathe = at_bearings.up_to(1), at_lathe.up_to(1)
        remarks.append(
            f"tracks at {bearings_radius_mm:g} and {lathe_radius_mm:g} mm: the face is taken as plane, order "
            "1 scaled with the radius, orders 2 and up have no prediction; axial motion once a turn is "
            f"counted in as up to {AXIAL_MOTION_TIR_MM:g} mm, a second track of the mounting would tell it"
        )
    mount = combined([(at_lathe, 1.0), (there, -1.0)])
    predicted = combined([(at_bearings, 1.0), (here, -1.0)])
    other = math.hypot(other_u_mm, _clock_u_mm(predicted, clock_apart_deg))
    if clock_apart_deg % 360.0:
        remarks.append(
            f"tip and tool stand {clock_apart_deg % 360.0:g} deg apart: orders 2 and up are uncertain by it"
        )
    scatter = mounting_scatter([as_vectors(one, "mounting") for one in mountings]) if comes_off else None
    if scatter is not None:
        other = math.hypot(other, _next_mounting_u_mm(scatter / scale, 2 * (len(mountings) - 1)))
        remarks.append(
            f"the part comes off before the cut: mountings scatter by {scatter:.4f} mm, which is counted in"
        )
    elif comes_off:
        remarks.append(
            "the part comes off before the cut: how far mountings scatter is told from two or more, and not "
            "counted in"
        )
    return Prediction(
        mount,
        first_of(mount),
        predicted,
        tir_of(predicted, other, seed),
        tir_of(predicted, 0.0, seed),
        other,
        predicted.highest_order,
        tuple(remarks),
    )


def _scale(bearings_mm: float | None, lathe_mm: float | None, surface: str, remarks: list[str]) -> float:
    """Return R_lathe / R_bearings, 1 where the track is the same."""
    if surface != Surface.FACE:
        return 1.0
    if bearings_mm is None and lathe_mm is None:
        remarks.append("no track_radius entered: taken as the same track")
        return 1.0
    if bearings_mm is None or lathe_mm is None:
        missing = "bearings" if bearings_mm is None else "mounting"
        raise BadInput(
            f"the {missing} sweep has no track_radius and the other has: a face scales with the radius; set "
            "track_radius on both"
        )
    ratio = lathe_mm / bearings_mm
    return 1.0 if abs(ratio - 1.0) < 1e-9 else ratio


def _clock_u_mm(predicted: OrderVectors, apart_deg: float) -> float:
    """Return what a tool elsewhere than the tip leaves open: 2 |sin(n d / 2)| of each order from 2."""
    orders = np.arange(2, predicted.highest_order + 1)
    left = 2.0 * np.abs(np.sin(orders * math.radians(apart_deg) / 2.0)) * np.abs(predicted.z_mm[1:])
    return 2.0 * math.sqrt(float(np.sum(left**2)) / 2.0)


def mounting_scatter(mounts: Sequence[OrderVectors]) -> float | None:
    """Return the standard deviation of one component of order 1 over mountings, mm: dirt and seat.

    None for fewer than two: nothing is known of it.
    """
    first = np.array([one.z_mm[0] for one in mounts])
    if len(first) < 2:
        return None
    off = first - first.mean()
    return math.sqrt(float(np.sum(np.abs(off) ** 2)) / (2 * (len(first) - 1)))


def _next_mounting_u_mm(scatter_mm: float, dof: int) -> float:
    """Return the standard uncertainty of a TIR of order 1 on the next mounting, told from this one.

    Both stray from what is usual, so twice the variance lies between them, and a TIR is twice an amplitude;
    few mountings are allowed for by Student's t over the normal quantile.
    """
    few = t_quantile(0.975, dof) / normal_quantile(0.975)
    return 2.0 * math.sqrt(2.0) * scatter_mm * few


def advise(
    prediction: Prediction,
    limit_mm: float,
    *,
    quantity: str = Quantity.TIR,
    limit_as_written: str = "",
    refused: Sequence[str] = (),
    unseen: Sequence[BudgetLine] = (),
    steps_mm: float = 0.0,
    looks: Looks = ONE_LOOK,
) -> tuple[str, Decision]:
    """Return ``mounting-good``, ``mount-again`` or ``undecided``, and the decision behind it.

    Parameters: the limit at the bearings' track (mm) and its quantity; sentences of refused checks of either
    sweep, any of which leaves it undecided; lines that no sweep shows by itself, as they come through the
    prediction, what coarse steps add to each half-width of its TIR, and which look it is, all as in the
    decision of a sweep. Raises BadInput for a quantity no mounting decides.
    """
    if quantity not in PREDICTED_QUANTITIES:
        raise BadInput(
            f"a limit on {quantity} is not decided by a mounting: use {', '.join(PREDICTED_QUANTITIES)}"
        )
    whole = quantity == Quantity.TIR
    number = held_against_limits(
        prediction.tir_by_scatter if whole else first_of(prediction.predicted).tir_first,
        looks,
        prediction.predicted.dof,
        steps_mm=(steps_mm, steps_mm) if whole else (0.0, 0.0),
        other={OTHER_LINES: Component(prediction.other_u_mm)},
        unseen=unseen,
        share=0.5 if quantity == Quantity.ECCENTRICITY else 1.0,
    )
    ready = Decidable(number, looks, refused=tuple(refused))
    decision = ready.against(limit_mm, quantity, limit_as_written)
    return ADVICE[decision.state], decision


@dataclass(frozen=True)
class HalfTurnReading:
    """What a remount after a cut shows, and what it cannot: the part's own seat turned with the part."""

    reads: OrderVectors
    """What the lathe reads, arbor angle: S_n (1 - exp(i n step))."""
    step_deg: float
    """By how much the part was re-indexed after the cut."""
    times: float
    """How many times the spindle's share order 1 reads: 2 at half a turn."""
    spindle: OrderVectors
    """The spindle's share behind a reading, orders that the step does not show zero."""
    blind_orders: tuple[int, ...]
    """Orders that are not seen at all."""


def half_turn_reading(spindle: Any, step_deg: float = 180.0) -> OrderVectors:
    """Return what the lathe reads after a cut and a remount ``step_deg`` further on, in arbor angle."""
    known = as_vectors(spindle, "spindle")
    orders = np.arange(1, known.highest_order + 1)
    return known.scaled(1.0 - np.exp(1j * orders * math.radians(step_deg)))


def explain_half_turn(after_cut_remount: Any, step_deg: float = 180.0) -> HalfTurnReading:
    """Explain a remount after a cut: at half a turn it reads twice the spindle's share in odd orders.

    Parameters: orders of the remount sweep in ARBOR angle, and by how much the part was re-indexed after the
    cut (degrees). It is blind to the part's own seat, which turned with the part.
    """
    reads = as_vectors(after_cut_remount, "remount sweep")
    orders = np.arange(1, reads.highest_order + 1)
    shown = 1.0 - np.exp(1j * orders * math.radians(step_deg))
    keep = np.abs(shown) >= 0.2
    spindle = reads.scaled(np.where(keep, 1.0 / np.where(keep, shown, 1.0), 0.0))
    blind = tuple(int(n) for n in orders[~keep])
    return HalfTurnReading(reads, step_deg % 360.0, abs(complex(shown[0])), spindle, blind)
