"""Part and spindle told apart from analysed sweeps, whatever was moved between them, for ``separate``.

Re-indexed by known angles, with the arbor measured alone, after a cut, or reversed with part and tip moved to
the opposite side.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from analysis.correction import HalfTurnReading, explain_half_turn, half_turn_reading
from analysis.diagnosis import sources_of_bumps
from analysis.errors import BadInput
from analysis.numerics import OrderVectors, exact
from analysis.separation import (
    AXIAL_MOTION_TIR_MM,
    LateGauge,
    Reversal,
    SeparatedOrder,
    Separation,
    SweepShare,
    first_of,
    late_gauge,
    plane_at_radius,
    reversal,
    separate,
    solving_factors,
)
from analysis.setup import MarkSide, Stage, Surface
from analysis.uncertainty import FirstOrderEstimate, with_lines
from analysis.units import format_count
from logger.inputs import AnalysedSweep, one_part, one_surface

HALF_TURN_DEG = 180.0
MOVED_AGREE_DEG = 2.0


@dataclass(frozen=True)
class RemountCheck:
    """One sweep taken after the cut with the part re-indexed, explained."""

    sweep: AnalysedSweep
    reading: HalfTurnReading


@dataclass(frozen=True)
class SeparationStudy:
    """What the sweeps tell together."""

    separation: Separation
    surface: str
    sweeps: tuple[AnalysedSweep, ...]
    """Those with the part on."""
    arbors: tuple[AnalysedSweep, ...]
    """Those of the arbor alone."""
    remounts: tuple[RemountCheck, ...]
    """Sweeps after the cut; none before it."""
    half_turn: OrderVectors | None
    """Before a cut: what the lathe would read half a turn on after a cut here; None where it is not known."""
    reversal: Reversal | None
    """Where part and tip were moved to the opposite side."""
    other_u_mm: float
    """Standard uncertainty of a TIR here from what is not random in the sweeps' readings."""
    one_degree_mm: float | None
    """By how much an index angle wrong by a degree would move the spindle's TIR of order 1; None where there
    is no such angle."""
    bumps: tuple[str, ...]
    """Whose a narrow bump is, one sentence each."""
    notes: tuple[str, ...]
    late_part: LateGauge = field(default_factory=LateGauge)
    """What a late gauge does to the part's share."""
    late_spindle: LateGauge = field(default_factory=LateGauge)

    def first(self, vectors: OrderVectors, late: LateGauge) -> FirstOrderEstimate:
        """Return order 1 of a share as it is told, what a late gauge may do to it counted in."""
        found = first_of(vectors, self.other_u_mm)
        return FirstOrderEstimate(
            with_lines(found.tir_first, late.lines_of_first), late.on_angle(found.high_side)
        )

    @property
    def part_first(self) -> FirstOrderEstimate:
        """Order 1 of the part with its seat, on the part."""
        return self.first(self.separation.part, self.late_part)

    @property
    def spindle_first(self) -> FirstOrderEstimate:
        """Order 1 of spindle, arbor and cones, on the arbor."""
        return self.first(self.separation.spindle, self.late_spindle)


def study_separation(
    sweeps: Sequence[AnalysedSweep], arbors: Sequence[AnalysedSweep] = (), *, cut_at_deg: float | None = None
) -> SeparationStudy:
    """Tell part and spindle apart.

    Parameters: sweeps with the part on the arbor; sweeps of the arbor alone, zero at the arbor's mark;
    ``cut_at_deg`` where the part's mark sat when it was cut, if the sweeps were taken after that. Raises
    BadInput where sweeps are of different parts, surfaces or tracks, or do not say where the part sat.
    """
    enough = len(sweeps) + len(arbors) + (cut_at_deg is not None)
    if not sweeps or enough < 2:
        raise BadInput(
            f"{format_count(len(sweeps), 'sweep')}: give two or more, the part re-indexed "
            "between them; or one with "
            "--arbor FILE (the arbor alone), or one taken after a cut with --cut-at DEG"
        )
    one_part(sweeps)
    surface = one_surface([*sweeps, *arbors])
    if cut_at_deg is not None and arbors:
        raise BadInput("--cut-at and --arbor at once: one or the other tells the spindle's share")
    if not arbors and cut_at_deg is None and _tips_moved(sweeps):
        return _reversed(sweeps, surface)
    notes = _same_track(sweeps)
    like = sweeps[0]
    read = [one.on_arbor(like) for one in sweeps]
    alone, scaled = _arbors(arbors, like, surface)
    vectors = [one for one, _ in read] + alone
    angles: list[float | None] = [deg for _, deg in read]
    angles += [None] * len(alone)
    if cut_at_deg is not None:
        vectors.append(exact([0j] * min(one.highest_order for one in vectors)))
        angles.append(cut_at_deg)
        notes.append("taken for granted: right after the cut the lathe read nothing")
    found = separate(vectors, angles)
    late_part, late_spindle = (late_gauge(one) for one in _shares([*sweeps, *arbors], vectors, angles, like))
    remounts = _remounts(sweeps, read, cut_at_deg)
    half_turn = None
    if not remounts and found.first_separable:
        half_turn = half_turn_reading(found.spindle)
    seen = [(one.result.bumps, one.known_index(), one.result.setup.mark_on) for one in sweeps]
    return SeparationStudy(
        separation=found,
        surface=surface,
        sweeps=tuple(sweeps),
        arbors=tuple(arbors),
        remounts=remounts,
        half_turn=half_turn,
        reversal=None,
        other_u_mm=_other_u_mm([*sweeps, *arbors], found.orders[0].noise_factor or 1.0),
        one_degree_mm=_one_degree_mm(vectors, angles) if found.first_separable else None,
        bumps=tuple(sources_of_bumps(seen)),
        notes=(*notes, *scaled),
        late_part=late_part,
        late_spindle=late_spindle,
    )


def _shares(
    sweeps: Sequence[AnalysedSweep],
    vectors: Sequence[OrderVectors],
    index_deg: Sequence[float | None],
    like: AnalysedSweep,
) -> tuple[list[SweepShare], list[SweepShare]]:
    """Return the sweeps as they go into the part's share and into the spindle's; a cut itself is exact."""
    highest = min(one.highest_order for one in vectors)
    alpha = [None if deg is None else math.radians(deg) for deg in index_deg]
    of_part, of_spindle = (
        [
            sweep.as_share(factor[k] * vectors[k].z_mm[:highest], complex(factor[k][0]), like)
            for k, sweep in enumerate(sweeps)
        ]
        for factor in solving_factors(alpha, highest)
    )
    return of_part, of_spindle


def _other_u_mm(sweeps: Sequence[AnalysedSweep], noise_factor: float) -> float:
    """Return what is not random in the readings, as it comes through the separation."""
    squares = [one.result.other_u_mm**2 for one in sweeps]
    return noise_factor * math.sqrt(sum(squares) / len(squares))


def _one_degree_mm(vectors: Sequence[OrderVectors], angles: Sequence[float | None]) -> float:
    """Return the greatest move of the spindle's TIR of order 1, one index angle at a time off by a degree."""
    first = [one.up_to(1) for one in vectors]
    right = separate(first, angles).spindle
    moved = [0.0]
    for k, deg in enumerate(angles):
        if deg is not None:
            wrong = separate(first, [*angles[:k], deg + 1.0, *angles[k + 1 :]]).spindle
            moved.append((wrong - right).tir_first_mm)
    return max(moved)


def _same_track(sweeps: Sequence[AnalysedSweep]) -> list[str]:
    if sweeps[0].result.setup.surface != Surface.FACE:
        planes = {one.result.setup.track_plane_mm for one in sweeps}
        if len(planes) > 1:
            entered = ", ".join("not entered" if plane is None else f"{plane:g} mm" for plane in planes)
            raise BadInput(f"sweeps at different planes ({entered}): separate needs one and the same track")
        return []
    radii = {one.result.setup.track_radius_mm for one in sweeps}
    if len(radii) > 1:
        entered = ", ".join("not entered" if radius is None else f"{radius:g} mm" for radius in radii)
        raise BadInput(f"sweeps at different radii ({entered}): separate needs one and the same track")
    return []


def _arbors(
    arbors: Sequence[AnalysedSweep], like: AnalysedSweep, surface: str
) -> tuple[list[OrderVectors], list[str]]:
    """Return the arbor's own orders at the part's track, and what has to be said of them."""
    found, notes = [], []
    for one in arbors:
        if one.result.setup.mark_on != MarkSide.ARBOR:
            raise BadInput(
                f"{one.name} begins at the part's mark: the arbor alone is measured from the arbor's mark; "
                "say --set mark_on=arbor when it is recorded"
            )
        vectors = one.from_mark()
        if one.result.setup.declared_end != like.result.setup.declared_end:
            vectors = vectors.mirrored()
        at, wanted = one.result.setup.track_radius_mm, like.result.setup.track_radius_mm
        if surface == Surface.FACE and at != wanted:
            if at is None or wanted is None:
                missing = one.name if at is None else like.name
                raise BadInput(f"{missing} has no track_radius and the other has: a face scales with it")
            vectors = plane_at_radius(vectors, wanted / at)
            notes.append(
                f"the arbor at {at:g} mm is taken as plane and scaled to the part's {wanted:g} mm: order 1 "
                "alone is told, and axial motion once a turn is counted in as up to "
                f"{AXIAL_MOTION_TIR_MM:g} mm"
            )
        found.append(vectors)
    if found:
        notes.append(
            "the arbor's own surface stands for arbor and spindle: cones and clamping are not in it, and an "
            "arbor fitted anew in the spindle's nose voids it"
        )
    return found, notes


def _remounts(
    sweeps: Sequence[AnalysedSweep], read: Sequence[tuple[OrderVectors, float]], cut_at_deg: float | None
) -> tuple[RemountCheck, ...]:
    """Return what each sweep after the cut shows, less what the cutting mount still read where known."""
    after = [k for k, one in enumerate(sweeps) if one.result.setup.stage == Stage.AFTER_CUT]
    if cut_at_deg is None and len(after) != 1:
        return ()
    found = []
    for k, (one, (vectors, alpha)) in enumerate(zip(sweeps, read, strict=True)):
        if cut_at_deg is not None:
            step, shown = alpha - cut_at_deg, vectors
        elif k == after[0]:
            continue
        else:
            cut, at = read[after[0]]
            # What the cut left on the lathe turns with the part: it comes off before the remount is read.
            step = alpha - at
            shown = vectors - cut.turned(math.radians(step))
        found.append(RemountCheck(one, explain_half_turn(shown, step)))
    return tuple(found)


def _tips_moved(sweeps: Sequence[AnalysedSweep]) -> bool:
    """Tell whether the indicator stood at different clock places; refuse what is no reversal."""
    clocks = [one.result.setup.tip_clock for one in sweeps]
    if len({*clocks} - {None}) < 2:
        return False
    first, *_, last = clocks
    opposite = len(sweeps) == 2 and first is not None and last is not None and (first - last) % 12 == 6
    alpha = [one.known_index() for one in sweeps]
    half = abs((alpha[-1] - alpha[0]) % 360.0 - HALF_TURN_DEG) <= MOVED_AGREE_DEG
    if not (opposite and half):
        stood = ", ".join(str(clock or "?") for clock in clocks)
        raise BadInput(
            f"the indicator stood at {stood} o'clock: keep it in one "
            "place, or move part and indicator both by half a turn (reversal, two sweeps)"
        )
    return True


def _reversed(sweeps: Sequence[AnalysedSweep], surface: str) -> SeparationStudy:
    """Return a reversal in the terms of a separation; on a face only the tilt motion has numbers."""
    _same_track(sweeps)
    first, second = (one.on_part(sweeps[0]) for one in sweeps)
    found = reversal(first, second, surface)
    motion = found.motion.turned(math.radians(sweeps[0].known_index()))
    factor = math.sqrt(0.5)
    late_part, late_motion = (
        late_gauge(
            [
                sweep.as_share(
                    sign / 2.0 * sweep.on_part(sweeps[0]).z_mm[: found.part.highest_order], 0.5, sweeps[0]
                )
                for sweep, sign in zip(sweeps, (1.0, second_sign), strict=True)
            ]
        )
        for second_sign in (1.0, -1.0)
    )
    orders = tuple(
        SeparatedOrder(
            n + 1,
            complex(found.part.z_mm[n]) if found.part_alone else None,
            float(found.part.u_mm[n]) if found.part_alone else None,
            complex(motion.z_mm[n]),
            float(motion.u_mm[n]),
            factor,
        )
        for n in range(found.part.highest_order)
    )
    missing = () if found.part_alone else tuple(one.n for one in orders)
    return SeparationStudy(
        separation=Separation(orders, found.part, motion, missing, None),
        surface=surface,
        sweeps=tuple(sweeps),
        arbors=(),
        remounts=(),
        half_turn=None,
        reversal=found,
        other_u_mm=_other_u_mm(sweeps, factor),
        one_degree_mm=None,
        bumps=(),
        notes=(),
        late_part=late_part,
        late_spindle=late_motion,
    )
