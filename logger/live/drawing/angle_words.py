"""Angles on the part in shop words: hole and offset, arc round the track, clock place, past the tip."""

import math
from collections.abc import Sequence

from analysis.setup import MarkSide, Setup
from analysis.units import format_length

IMPERIAL = ("in", "thou")


def tip_clock(setup: Setup) -> float:
    """Return the clock place of the tip seen from the declared end; 12 where none was given."""
    return float(setup.tip_clock or 12)


def crayon_offset_deg(setup: Setup) -> float:
    """Return how far past a spot the part has to be turned for the spot to lie under the crayon.

    The tip covers the spot it names: with the tip at 3 and the crayon at 12 the spot lies under the crayon
    when the part stands 90 degrees before it.
    """
    return (setup.crayon_at - tip_clock(setup)) * 30.0 if setup.crayon_at else 0.0


def near_hole(deg: float, setup: Setup) -> str:
    """Return ``hole 2 plus 3 deg`` by the last hole at or before an angle; empty without holes."""
    if not setup.holes or setup.mark_on != MarkSide.PART:
        return ""
    offsets = [((deg - hole.deg) % 360.0, k + 1) for k, hole in enumerate(setup.holes)]
    offset, number = min(offsets)
    return f"hole {number}" if round(offset) == 0 else f"hole {number} plus {offset:.0f} deg"


def arc_words(deg: float, setup: Setup) -> str:
    """Return an angle as an arc round the track, ``121 mm, 4.8 in``; empty without the track's radius."""
    if setup.track_radius_mm is None:
        return ""
    arc_mm = math.radians(abs(deg)) * setup.track_radius_mm
    return f"{format_length(arc_mm, 'mm', 0)}, {format_length(arc_mm, 'in', 1)}"


def place(deg: float, setup: Setup) -> str:
    """Return ``63 deg = hole 2 plus 3 deg = 121 mm, 4.8 in``, said on whose mark it counts."""
    return f"{bare_place(deg, setup)} past the {setup.mark_on}'s mark"


def bare_place(deg: float, setup: Setup) -> str:
    """Return the same where a heading says on whose mark it counts."""
    around = deg % 360.0
    parts = [f"{around:.0f} deg", near_hole(around, setup), arc_words(around, setup)]
    return " = ".join(one for one in parts if one)


def from_tip(spot_deg: float, angle_deg: float, setup: Setup) -> str:
    """Return where a spot is now: ``110 deg past the tip, about 4 o'clock``."""
    past = (angle_deg - spot_deg) % 360.0
    hour = round((tip_clock(setup) + past / 30.0) % 12.0) or 12
    if past > 180.0:
        return f"{360.0 - past:.0f} deg before the tip, about {hour} o'clock"
    return f"{past:.0f} deg past the tip, about {hour} o'clock"


def missing_words(missing: Sequence[tuple[float, float]], setup: Setup) -> str:
    """Return the places not yet seen, as a clock on the part with its mark at 12, and holes among them."""
    words = []
    for start, end in missing[:3]:
        width = (end - start) % 360.0 or 360.0
        first, last = round(start / 30.0) % 12 or 12, round((start + width) / 30.0) % 12 or 12
        words.append(f"{first} to {last} o'clock" if first != last else f"near {first} o'clock")
    if len(missing) > 3:
        words.append(f"{len(missing) - 3} more places")
    if setup.mark_on == MarkSide.PART:
        words += [
            f"hole {k + 1}"
            for k, hole in enumerate(setup.holes)
            if any((hole.deg - start) % 360.0 < ((end - start) % 360.0 or 360.0) for start, end in missing)
        ]
    return ", ".join(words)
