"""Every mounting so far studied, and the card of the one that is on the lathe now, for ``plan-cut``."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from analysis.correction import CutPlan, mounting_scatter
from analysis.setup import Limit
from logger.inputs import AnalysedSweep
from logger.studies.cut_study import (
    CutStudy,
    PassCheck,
    between_passes,
    card_of,
    check_tracks,
    predict,
    study_cut,
)


@dataclass(frozen=True)
class MountingsStudy:
    """What a cut on each mounting would leave, and how it would be made on the last."""

    bearings: tuple[AnalysedSweep, ...]
    """In the part's own bearings; two at two planes."""
    mountings: tuple[CutStudy, ...]
    """In the order measured."""
    tracks: tuple[AnalysedSweep, ...]
    """Further tracks on the last mounting."""
    card: CutPlan
    scatter_mm: float | None
    """Of the mount vectors, a component; None of a single mounting."""
    between: PassCheck | None

    @property
    def now(self) -> CutStudy:
        """The mounting that is on the lathe now."""
        return self.mountings[-1]

    @property
    def best(self) -> CutStudy:
        """The mounting on which a cut would leave least."""
        return min(self.mountings, key=lambda one: one.prediction.tir.value)


def study_mountings(
    bearings: Sequence[AnalysedSweep],
    lathe: Sequence[AnalysedSweep],
    limit: Limit,
    surface: str,
    *,
    lengths_mm: Mapping[str, float | None],
    comes_off: bool = False,
    tracks: Sequence[AnalysedSweep] = (),
    between: AnalysedSweep | None = None,
) -> MountingsStudy:
    """Study each mounting and plan the cut on the last.

    Parameters: one sweep in the bearings, or two of an outside or bore at two planes; ``lengths_mm`` by the
    names of CARD_LENGTHS; ``comes_off``, ``tracks`` as in ``study_cut``, the tracks of the last mounting;
    ``between`` a sweep taken between passes. Raises BadInput for a track that is none of the last mounting.
    """
    own, plane = bearings[0], bearings[1] if len(bearings) > 1 else None
    check_tracks(lathe[-1], tracks, surface)
    mounts = [predict(own, one, surface, second_plane=plane).mount for one in lathe]
    studies = [
        study_cut(
            own,
            one,
            limit,
            surface,
            mounts=mounts,
            comes_off=comes_off,
            second_plane=plane,
            tracks=tracks if one is lathe[-1] else (),
        )
        for one in lathe
    ]
    return MountingsStudy(
        tuple(bearings),
        tuple(studies),
        tuple(tracks),
        card_of(own, studies[-1], lengths_mm, surface, tracks),
        mounting_scatter(mounts),
        None if between is None else between_passes(own, studies[-1], between),
    )
