"""Form over the tracks of one set-up: circles of an outside or bore, flatness of a face, total runout.

Made from the fitted curves of orders 1..H, so the fit is the filter; a closed Gaussian one may follow. Of a
few places it is made from what was read there, and nothing is said of what lies between them.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.errors import BadInput, NotDecidable
from analysis.measurands.circles import (
    Circle,
    about_own_centre,
    circumscribed_circle,
    inscribed_circle,
    least_squares_circle,
    minimum_zone_circle,
    narrowest_zone,
)
from analysis.measurands.gaussian_filter import filter_vectors
from analysis.numerics import Floats, OrderVectors
from analysis.results import SweepResult
from analysis.setup import Surface
from analysis.uncertainty import Points

POINTS = 720
FEWEST_OF_CIRCLE = 4
"""Three points lie on one circle, and in one plane, whatever they read."""


@dataclass(frozen=True)
class Form:
    """Form of one track (circles) and of all tracks; mm, None where the surface has no such thing."""

    lsc_mm: float | None
    mzc_mm: float | None
    mic_mm: float | None
    mcc_mm: float | None
    flatness_mm: float | None
    """Narrowest zone between two parallel planes, all tracks of a face."""
    total_mm: float
    """max over all tracks less min over all tracks, one set-up, no re-zeroing."""
    points: int | None = None
    """How many points it is of; None of a curve."""


@dataclass(frozen=True)
class Track:
    """One track: heights (mm) of one set-up at angles (rad), shape (n,), of a curve or as they were read."""

    angle_rad: Floats
    height_mm: Floats
    highest_mm: float
    """Of the whole curve, or of the readings."""
    lowest_mm: float

    @staticmethod
    def of_curve(vectors: OrderVectors, mean_mm: float) -> "Track":
        """Return the track that a fitted curve is, by 720 of its points."""
        angle = np.asarray(np.linspace(0.0, 2.0 * math.pi, POINTS, endpoint=False))
        ends = vectors.extremes
        return Track(
            angle, vectors.curve(angle) + mean_mm, ends.highest_mm + mean_mm, ends.lowest_mm + mean_mm
        )

    @staticmethod
    def of_points(points: Points) -> "Track":
        """Return the track that was read at a few places."""
        height = points.reading_mm
        return Track(points.angle_rad, height, float(height.max()), float(height.min()))


def forms(results: Sequence[SweepResult], filter_upr: float | None = None) -> list[Form]:
    """Return the form of each sweep; flatness and total take all of them as tracks of one set-up.

    Raises BadInput for tracks of different surfaces, several tracks of a face without their radii, and a
    filter over a few points.
    """
    surfaces = {result.setup.surface for result in results}
    if len(surfaces) > 1:
        raise BadInput(f"tracks of different surfaces ({', '.join(sorted(surfaces))}): give those of one")
    tracks = [_track(result, filter_upr) for result in results]
    points = [len(result.points.reading_mm) if result.points else None for result in results]
    total = total_runout_mm(tracks)
    radii = [result.setup.track_radius_mm for result in results]
    if surfaces == {Surface.FACE}:
        flat = flatness_mm(tracks, radii)
        return [Form(None, None, None, None, flat, total, n) for n in points]
    outward = -1.0 if surfaces == {Surface.BORE} else 1.0
    return [
        Form(*_roundness(track, outward, radius), None, total, n)
        for track, radius, n in zip(tracks, radii, points, strict=True)
    ]


def total_runout_mm(tracks: Sequence[Track]) -> float:
    """Return max over all tracks less min over all tracks; never less than any track's own TIR."""
    return max(track.highest_mm for track in tracks) - min(track.lowest_mm for track in tracks)


def flatness_mm(tracks: Sequence[Track], radii_mm: Sequence[float | None]) -> float | None:
    """Return the narrowest zone between two parallel planes that holds all tracks of a face.

    None of three points. Raises BadInput for several tracks without their radii.
    """
    if len(tracks) > 1 and any(radius is None for radius in radii_mm):
        raise BadInput("flatness over several tracks needs the radius of each: set track_radius")
    columns = [
        np.stack([np.cos(track.angle_rad), np.sin(track.angle_rad)], axis=1)
        * ((radius or 1.0) / (radii_mm[0] or 1.0))
        for track, radius in zip(tracks, radii_mm, strict=True)
    ]
    heights = np.concatenate([track.height_mm for track in tracks])
    return narrowest_zone(np.vstack(columns), heights)[1] if len(heights) >= FEWEST_OF_CIRCLE else None


def _roundness(
    track: Track, outward: float, radius_mm: float | None
) -> tuple[float | None, float | None, float | None, float | None]:
    """Return LSC, MZC, MIC, MCC, None of three points; ``outward`` -1 in a bore, which reads high inwards."""
    angle, profile = track.angle_rad, outward * (track.height_mm - track.height_mm.mean())
    if len(profile) < FEWEST_OF_CIRCLE:
        return None, None, None, None
    if radius_mm is not None:
        angle, profile = about_own_centre(angle, profile, radius_mm)
    return (
        least_squares_circle(angle, profile).roundness_mm,
        minimum_zone_circle(angle, profile).roundness_mm,
        _roundness_or_none(inscribed_circle, angle, profile),
        _roundness_or_none(circumscribed_circle, angle, profile),
    )


def _roundness_or_none(
    circle: Callable[[Floats, Floats], Circle], angle: Floats, profile: Floats
) -> float | None:
    """Return the roundness about such a circle; None where there is none: half a turn without points."""
    try:
        return circle(angle, profile).roundness_mm
    except NotDecidable:
        return None


def _track(result: SweepResult, filter_upr: float | None) -> Track:
    if result.points is not None:
        if filter_upr is not None:
            raise BadInput(
                f"{len(result.points.reading_mm)} points are no curve to filter: leave --filter out"
            )
        return Track.of_points(result.points)
    assert result.vectors is not None
    vectors = result.vectors if filter_upr is None else filter_vectors(result.vectors, filter_upr)
    return Track.of_curve(vectors, result.mean_mm)
