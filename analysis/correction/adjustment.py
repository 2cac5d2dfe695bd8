"""Moves of screws, jaws or shims that take order 1 out of an outside, a bore or a face."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis.errors import BadInput
from analysis.numerics import as_vectors
from analysis.setup import Surface


@dataclass(frozen=True)
class Move:
    """One screw, jaw or shim."""

    deg: float
    """Where it stands, degrees from the part's mark."""
    move_mm: float
    """Outside, bore: + = away from the axis. Face: shim to add there (the least one is zero)."""


@dataclass(frozen=True)
class Adjustment:
    """All moves, and what order 1 they cannot reach."""

    moves: tuple[Move, ...]
    left_first_mm: float
    """TIR of order 1 that stays, because no screw points that way; 0 for three screws round the part."""


def adjust(
    sweep: Any,
    screws_deg: Sequence[float],
    *,
    surface: str = Surface.OUTSIDE,
    screw_radius_mm: float | None = None,
    track_radius_mm: float | None = None,
) -> Adjustment:
    """Return the moves that take order 1 out.

    Outside and bore: move_k = -e cos(angle_k - side the centre lies on), no sum rule. Face: the plane is
    turned back, times R_screw / R_track, with a free constant chosen so that shims are only added.
    Parameters: orders of the sweep in part angle; angles of the screws, degrees; radii (mm) of a face. Raises
    BadInput
    for fewer than two different angles, or a face without both radii.
    """
    z = complex(as_vectors(sweep, "sweep").z_mm[0])
    angles = np.radians(np.asarray([float(deg) for deg in screws_deg]))
    if len(angles) < 2 or len({round(float(deg) % 360.0, 6) for deg in screws_deg}) < len(angles):
        raise BadInput(f"screws at {list(screws_deg)}: give two or more different angles, as 0,120,240")
    if not np.isfinite(angles).all():
        raise BadInput("a screw's angle is not a finite number: give degrees, as 0,120,240")
    face = surface == Surface.FACE
    if face and (screw_radius_mm is None or track_radius_mm is None):
        raise BadInput(
            "shims under a face scale with the radius: give --screw-radius, and track_radius in the set-up"
        )
    ratio = (screw_radius_mm or 1.0) / (track_radius_mm or 1.0) if face else 1.0
    # A bore reads high opposite to where the centre lies.
    target = np.array([z.real, z.imag]) * (1.0 if surface == Surface.BORE else -1.0)
    directions = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    reach = directions - directions.mean(axis=0) if face else directions
    _, size, axes = np.linalg.svd(reach, full_matrices=False)
    kept = axes[size > 1e-6 * max(float(size[0]), 1e-12)]
    reached = kept.T @ (kept @ target)
    moves = directions @ reached * ratio
    if face:
        moves = moves - moves.min()
    left = 2.0 * float(np.linalg.norm(target - reached))
    return Adjustment(
        tuple(Move(float(deg), float(move)) for deg, move in zip(screws_deg, moves, strict=True)),
        0.0 if left < 1e-12 else left,
    )


def still_to_turn_mm(move_mm: float, reading_at_start_mm: float, reading_now_mm: float) -> float:
    """Return how much of a screw's move is left while the indicator stands at that screw."""
    return move_mm - (reading_now_mm - reading_at_start_mm)


def reading_to_reach_mm(move_mm: float, reading_at_start_mm: float) -> float:
    """Return what the indicator at the screw has to read when its move is done."""
    return math.fsum((reading_at_start_mm, move_mm))
