"""What sweeps named together say of gauge, stand and axis, as text and as JSON; the keys are a promise."""

import math
from typing import Any

from analysis.units import format_length
from logger.reports.phrases import Report
from logger.reports.to_json import to_json
from logger.studies import RelatedSweeps

CLEAR = 3.0
"""A lag or hysteresis counts as seen where it exceeds so many of its own standard uncertainties."""


def as_json(related: RelatedSweeps) -> dict[str, Any]:
    """Return what several sweeps add to the object of ``sweep``."""
    found = related.lag_and_play
    return to_json(
        {
            "two_ways": [
                {
                    "on": one.forward.name,
                    "back": one.backward.name,
                    "shift_deg": math.degrees(one.pair.shift_rad),
                    "u_shift_deg": math.degrees(one.pair.u_shift_rad),
                }
                for one in related.opposite_directions
            ],
            "lag_s": found.lag_s if found else None,
            "u_lag_s": found.u_lag_s if found else None,
            "play_mm": found.play_mm if found else None,
            "u_play_mm": found.u_play_mm if found else None,
            "creep": [
                {"first": one.first.name, "last": one.last.name, "moved_mm": one.moved_mm}
                for one in related.creep
            ],
            "bumps": related.bumps,
        }
    )


def as_text(related: RelatedSweeps, unit: str) -> Report:
    """Return the lines that several sweeps add; none where they say nothing together."""
    lines = _opposite_directions(related, unit)
    lines += [
        f"From {one.first.name} to {one.last.name} the mean height moved by "
        f"{format_length(one.moved_mm, unit)}: the stand crept or something got warm, unless part or "
        "indicator were set up anew between them."
        for one in related.creep
    ]
    lines += related.bumps
    if not lines:
        return Report()
    return Report(f"Together: {lines[0][0].lower()}{lines[0][1:]}", rows=tuple(lines[1:]))


def _opposite_directions(related: RelatedSweeps, unit: str) -> list[str]:
    found = related.lag_and_play
    if found is None:
        return []
    shift = math.degrees(found.shift_rad)
    if not found.seen:
        return [f"Turned both ways the high places agree within {abs(shift):.1f} deg: no lag, no play seen."]
    if found.lag_s is None or found.play_mm is None:
        return [
            f"Turned both ways the high places differ by {shift:.1f} deg: lag or play, one speed cannot "
            "tell. Do this: turn a pair at another speed, or do the tap check."
        ]
    answer = f"Turned both ways at two speeds the high places differ by {shift:.1f} deg."
    lines = [answer]
    if found.lag_s > CLEAR * (found.u_lag_s or 0.0):
        lines.append(
            f"The gauge is {1000 * found.lag_s:.0f} ms late (standard uncertainty "
            f"{1000 * (found.u_lag_s or 0.0):.0f} ms): half-way between the two ways the high side is right."
        )
    if found.play_mm > CLEAR * (found.u_play_mm or 0.0):
        lines.append(
            f"The gauge has {format_length(found.play_mm, unit)} of play (standard uncertainty "
            f"{format_length(found.u_play_mm or 0.0, unit)}): every TIR is short by it."
        )
    if len(lines) == 1:
        return [
            f"{answer} Lag or play, the sweeps scatter too much to tell. Do this: turn more turns each way."
        ]
    return lines
