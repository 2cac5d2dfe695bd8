"""What sweeps named together say: both directions, creep, whose a bump is, an axis from two planes.

Sweeps belong together where part, surface, place and state are the same in their set-ups. Whether the part
was taken off between two of them no set-up tells.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from analysis.diagnosis import LagAndPlay, Pair, creep_mm, lag_and_play, pair_of, sources_of_bumps
from analysis.errors import BadInput
from analysis.measurands import Axis, axis_from_planes
from analysis.numerics import OrderVectors
from analysis.separation import first_of
from analysis.setup import SAME_MOUNTING_KEYS, Surface
from analysis.uncertainty import FirstOrderEstimate
from analysis.units import format_count
from logger.inputs import AnalysedSweep, one_part, one_surface
from logger.studies.cut_study import plane_mm

FINEST = 0.1
"""Of a step of the gauge: what the mean of many rounded readings is known to."""


@dataclass(frozen=True)
class OppositeDirections:
    """One sweep in each direction, at about one speed."""

    forward: AnalysedSweep
    backward: AnalysedSweep
    pair: Pair


@dataclass(frozen=True)
class Creep:
    """By how much the mean height moved over sweeps of one mounting."""

    first: AnalysedSweep
    last: AnalysedSweep
    moved_mm: float


@dataclass(frozen=True)
class AtPlane:
    """Order 1 predicted at a plane."""

    plane_mm: float
    first: FirstOrderEstimate


@dataclass(frozen=True)
class RelatedSweeps:
    """What the sweeps say together."""

    opposite_directions: tuple[OppositeDirections, ...]
    lag_and_play: LagAndPlay | None
    """None without a sweep in each direction."""
    creep: tuple[Creep, ...]
    bumps: tuple[str, ...]


def relate(sweeps: Sequence[AnalysedSweep]) -> RelatedSweeps:
    """Return what sweeps of one command line say together, in the order typed."""
    groups = [list(each) for _, each in groupby(sorted(sweeps, key=_same), key=_same)]
    pairs = [pair for group in groups for pair in _opposite_directions(group)]
    found = lag_and_play([one.pair for one in pairs]) if pairs else None
    # Hysteresis shifts the mean with the direction: heights are compared within one direction.
    alike = [[one for one in group if _direction(one) == sign] for group in groups for sign in (1, -1)]
    creeps = [moved for group in alike for moved in _creep(group)]
    known = [one for one in sweeps if one.index_deg is not None]
    seen = [(one.result.bumps, one.known_index(), one.result.setup.mark_on) for one in known]
    return RelatedSweeps(tuple(pairs), found, tuple(creeps), tuple(sources_of_bumps(seen)))


def _same(one: AnalysedSweep) -> tuple[str, ...]:
    text = one.result.setup.text
    index = "" if one.index_deg is None else f"{one.index_deg:.1f}"
    return (*(str(text.get(key, "")) for key in SAME_MOUNTING_KEYS), index)


def _direction(one: AnalysedSweep) -> int:
    return 1 if sum(turn.direction for turn in one.result.turns) > 0 else -1


def _rpm(one: AnalysedSweep) -> float:
    return sum(turn.rpm for turn in one.result.turns) / len(one.result.turns)


def _opposite_directions(group: Sequence[AnalysedSweep]) -> list[OppositeDirections]:
    """Return pairs of one sweep in each direction, slow with slow and fast with fast."""
    usable = [one for one in group if one.result.angle_source.has_mark]
    forward, backward = (
        sorted((one for one in usable if _direction(one) == sign), key=_rpm) for sign in (1, -1)
    )
    return [
        OppositeDirections(one, other, pair_of(as_counted(one), as_counted(other), _rpm(one), _rpm(other)))
        for one, other in zip(forward, backward, strict=False)
    ]


def as_counted(one: AnalysedSweep) -> OrderVectors:
    """Return the orders at the angles as they were counted, a lag that was turned back put in again."""
    return one.vectors.turned(one.result.lag.turned_rad)


def _creep(group: Sequence[AnalysedSweep]) -> list[Creep]:
    if len(group) < 2:
        return []
    u = max(_u_height_mm(one) for one in group)
    moved = creep_mm([one.result.mean_mm for one in group], u)
    return [] if moved is None else [Creep(group[0], group[-1], moved)]


def _u_height_mm(one: AnalysedSweep) -> float:
    values = sum(turn.values for turn in one.result.turns)
    noise = one.result.pooled.noise_mm / math.sqrt(max(values, 1))
    return math.hypot(noise, FINEST * one.result.gauge.resolution_mm)


def axis_of(sweeps: Sequence[AnalysedSweep]) -> Axis:
    """Return the axis from two sweeps of an outside or bore at two planes.

    Raises BadInput for another number of sweeps, a face, or a plane that was not entered.
    """
    if len(sweeps) != 2:
        raise BadInput(
            f"--plane with {format_count(len(sweeps), 'sweep')}: give two of one outside or "
            "bore, at two planes"
        )
    one_part(sweeps)
    if one_surface(sweeps) == Surface.FACE:
        raise BadInput("--plane is for an outside or bore measured at two planes: a face has no axis to tell")
    planes = [plane_mm(one) for one in sweeps]
    if planes[0] is None or planes[1] is None:
        missing = sweeps[0 if planes[0] is None else 1].name
        raise BadInput(f"{missing} has no track_plane: say at which plane along the axis it was measured")
    return axis_from_planes(
        sweeps[0].on_part(), planes[0], sweeps[1].on_part(sweeps[0]), planes[1]
    )  # fmt: skip


def at_planes(axis: Axis, planes_mm: Sequence[float], other_u_mm: float) -> list[AtPlane]:
    """Return order 1 predicted at each plane."""
    return [AtPlane(plane, first_of(axis.at(plane), other_u_mm)) for plane in planes_mm]
