"""Form over the tracks of one set-up: circles of an outside or bore, flatness of a face, total runout.

Made from the fitted curves of orders 1..H, so the fit is the filter; a closed Gaussian one may follow.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.errors import BadInput
from analysis.measurands.circles import (
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

POINTS = 720


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


def forms(results: Sequence[SweepResult], filter_upr: float | None = None) -> list[Form]:
    """Return the form of each sweep; flatness and total take all of them as tracks of one set-up.

    Raises BadInput for tracks of different surfaces, or several tracks of a face without their radii.
    """
    surfaces = {result.setup.surface for result in results}
    if len(surfaces) > 1:
        raise BadInput(f"tracks of different surfaces ({', '.join(sorted(surfaces))}): give those of one")
    vectors = [_filtered(result, filter_upr) for result in results]
    heights = [result.mean_mm for result in results]
    total = total_runout_mm(vectors, heights)
    if surfaces == {Surface.FACE}:
        radii = [result.setup.track_radius_mm for result in results]
        flat = flatness_mm(vectors, heights, radii)
        return [Form(None, None, None, None, flat, total) for _ in results]
    outward = -1.0 if surfaces == {Surface.BORE} else 1.0
    return [
        Form(*_roundness(one, outward, result.setup.track_radius_mm), None, total)
        for one, result in zip(vectors, results, strict=True)
    ]


def total_runout_mm(tracks: Sequence[OrderVectors], heights_mm: Sequence[float]) -> float:
    """Return max over all tracks less min over all tracks; never less than any track's own TIR."""
    ends = [track.extremes for track in tracks]
    top = max(end.highest_mm + height for end, height in zip(ends, heights_mm, strict=True))
    bottom = min(end.lowest_mm + height for end, height in zip(ends, heights_mm, strict=True))
    return top - bottom


def flatness_mm(
    tracks: Sequence[OrderVectors], heights_mm: Sequence[float], radii_mm: Sequence[float | None]
) -> float:
    """Return the narrowest zone between two parallel planes that holds all tracks of a face."""
    if len(tracks) > 1 and any(radius is None for radius in radii_mm):
        raise BadInput("flatness over several tracks needs the radius of each: set track_radius")
    grid = _grid()
    columns, heights = [], []
    for track, height, radius in zip(tracks, heights_mm, radii_mm, strict=True):
        size = (radius or 1.0) / (radii_mm[0] or 1.0)
        columns.append(np.stack([np.cos(grid), np.sin(grid)], axis=1) * size)
        heights.append(track.curve(grid) + height)
    return narrowest_zone(np.vstack(columns), np.concatenate(heights))[1]


def _roundness(
    track: OrderVectors, outward: float, radius_mm: float | None
) -> tuple[float, float, float, float]:
    """Return LSC, MZC, MIC, MCC; ``outward`` -1 in a bore, which reads high where its wall comes nearer."""
    grid = _grid()
    profile = outward * track.curve(grid)
    if radius_mm is not None:
        grid, profile = about_own_centre(grid, profile, radius_mm)
    return (
        least_squares_circle(grid, profile).roundness_mm,
        minimum_zone_circle(grid, profile).roundness_mm,
        inscribed_circle(grid, profile).roundness_mm,
        circumscribed_circle(grid, profile).roundness_mm,
    )


def _filtered(result: SweepResult, filter_upr: float | None) -> OrderVectors:
    assert result.vectors is not None
    return result.vectors if filter_upr is None else filter_vectors(result.vectors, filter_upr)


def _grid() -> Floats:
    return np.asarray(np.linspace(0.0, 2.0 * math.pi, POINTS, endpoint=False))
