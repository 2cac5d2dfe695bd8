"""Holes of a track: how wide the declared ones are found, which windows take them out, how they are declared.

Only holes that were declared are ever left out. Knows nothing of limits.
"""

from collections.abc import Sequence
from dataclasses import replace

from analysis.capture import Window, holes_in_sweep, window_about
from analysis.diagnosis.bumps import Bump, BumpKind, degrees_apart, is_at
from analysis.setup import Hole, Setup

_EDGE_DEG = 1.0
"""A hole is left out so much beyond half its depth on either side (a choice of ours, no source)."""
_WIDEST_DEG = 30.0
"""What is low over more of the turn is no hole that a tip falls into (a gauge that stuck, a land): never
left out by itself (a choice of ours, no source)."""
_EDGE_READINGS = 2
"""And so many readings more."""


def open_holes(bumps: Sequence[Bump]) -> list[Bump]:
    """Return the bumps that are taken for holes and were read all the same."""
    return [
        bump for bump in bumps if bump.kind is BumpKind.HOLE and bump.kept and bump.width_deg <= _WIDEST_DEG
    ]


def found_holes(holes: Sequence[Hole], bumps: Sequence[Bump]) -> list[Hole]:
    """Return those of the holes at which something low was found, all as wide as the widest, without margin.

    A hole without a width stands where it was found; one with a width keeps its place and is as wide as takes
    in what was found at its edges. Angles of holes and bumps from one mark.
    """
    found = []
    for hole in holes:
        low = [bump for bump in open_holes(bumps) if is_at(hole, bump)]
        if low:
            middle = hole.deg if hole.width_deg > 0.0 else low[0].deg
            half = max(abs(degrees_apart(middle, bump.deg)) + bump.width_deg / 2 for bump in low)
            found.append(Hole(middle, max(hole.width_deg, 2.0 * half)))
    widest = max((hole.width_deg for hole in found), default=0.0)
    return [replace(hole, width_deg=widest) for hole in found]


def with_margin(hole: Hole, spacing_deg: float) -> Hole:
    """Return the hole so wide that nothing of its edges is left, readings standing so far apart (degrees)."""
    margin = 2.0 * (_EDGE_DEG + _EDGE_READINGS * spacing_deg)
    return replace(hole, width_deg=hole.width_deg + margin)


def windows_of_found_holes(found: Sequence[Hole], spacing_deg: float) -> list[Window]:
    """Return the windows that take found holes out, each with how wide it was found as its reason."""
    return [
        window_about(
            hole.deg,
            with_margin(hole, spacing_deg).width_deg,
            f"declared hole, width found {hole.width_deg:.1f} deg",
        )
        for hole in found
    ]


def declaration(setup: Setup, bumps: Sequence[Bump], spacing_deg: float) -> str:
    """Return what to write for ``holes`` in the set-up so that what is taken for a hole is left out."""
    declared = holes_in_sweep(setup)
    new = [Hole(bump.deg) for bump in open_holes(bumps) if not any(is_at(hole, bump) for hole in declared)]
    holes = [*declared, *new]
    wide = [with_margin(hole, spacing_deg) for hole in found_holes(holes, bumps)]
    open_at = [any(is_at(hole, bump) for bump in open_holes(bumps)) for hole in holes]
    each = [wide.pop(0) if is_open else hole for hole, is_open in zip(holes, open_at, strict=True)]
    # Declared angles are the part's, those found the sweep's.
    shift = declared[0].deg - setup.holes[0].deg if declared else 0.0
    return " ".join(
        f"{(hole.deg - shift) % 360.0:.1f}" + (f":{hole.width_deg:.1f}" if hole.width_deg > 0.0 else "")
        for hole in each
    )
