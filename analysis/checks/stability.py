"""Checks of stability: whether stand, shaft and surface gave the same reading at the same place again."""

from collections.abc import Sequence

import numpy as np

from analysis.capture.events import EndFloatMeasured
from analysis.checks.evidence import Deviation, Evidence
from analysis.checks.finding import Finding, Thresholds, clear, doubtful, refused
from analysis.diagnosis import Bump, BumpKind, JumpKind, declaration, open_holes
from analysis.results import CheckState
from analysis.units import format_count


def look_at_stand(evidence: Evidence, _: Thresholds) -> Finding:
    """Look for a step that stays."""
    jump = evidence.jump
    if jump is None or jump.kind is not JumpKind.STAND:
        return clear("no jump of the stand")
    return refused(
        f"the reading jumped by {jump.step_mm:+.3f} mm {jump.t_s:.1f} s into the recording and stayed: "
        "stand or gauge was knocked",
        "fasten stand and gauge, take the sweep again",
    )


def look_at_closure(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Look whether the reading comes back to its start."""
    closure = evidence.closure
    if closure is None:
        return None
    state = _against_the_limit(evidence, closure, at)
    if state is CheckState.CLEAR:
        return clear(f"comes back to its start within {abs(closure.mm):.4f} mm")
    return Finding(
        state,
        f"does not come back to its start: {closure.mm:+.4f} mm",
        "look for a loose stand, a warm part or end float; take the sweep again",
    )


def look_at_drift(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Look how far the reading creeps in a turn."""
    drift = evidence.drift_per_turn
    if drift is None:
        return None
    state = _against_the_limit(evidence, drift, at)
    text = f"drift {drift.mm:+.4f} mm a turn, taken out"
    if state is CheckState.CLEAR:
        return clear(text)
    return Finding(state, text, "let part and stand come to one temperature, fasten the stand")


def look_at_repeat(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Look whether the turns agree."""
    if len(evidence.turning.turns) < 2:
        return None
    repeat = evidence.repeat
    state = _against_the_limit(evidence, repeat, at)
    if state is CheckState.CLEAR:
        return clear(f"turns agree within {repeat.mm:.4f} mm")
    return Finding(
        state,
        f"does not repeat turn to turn: up to {repeat.mm:.4f} mm between two turns",
        "look at bearings, end float and the stand",
    )


def _against_the_limit(evidence: Evidence, deviation: Deviation, at: Thresholds) -> CheckState:
    """Grade a length by its share of the limit; what noise and step of the gauge explain is clear."""
    length = abs(deviation.mm)
    if length <= max(3.0 * deviation.noise_mm, 2.0 * evidence.gauge.resolution_mm):
        return CheckState.CLEAR
    if length > at.refused.at * evidence.reference_mm:
        return CheckState.REFUSED
    return CheckState.DOUBTFUL if length > at.doubtful.at * evidence.reference_mm else CheckState.CLEAR


def look_at_bumps(evidence: Evidence, _: Thresholds) -> Finding:
    """Look for narrow bumps, and for holes that were read as if they were surface."""
    holes = open_holes(evidence.bumps)
    if holes:
        return _holes_left_in(evidence, holes)
    found = [bump for bump in evidence.bumps if bump.kept and bump.kind is not BumpKind.HOLE]
    if not found:
        return clear("no narrow bump")
    named = ", ".join(describe_bump(bump) for bump in found[:3])
    more = f" and {len(found) - 3} more" if len(found) > 3 else ""
    if all(bump.kind is BumpKind.KNOCK for bump in found):
        return doubtful(named + more, "take another turn without touching the bench", maybe_trace=True)
    return doubtful(named + more, "look and feel there: clean, deburr, or leave it out by name and reason")


def _holes_left_in(evidence: Evidence, holes: Sequence[Bump]) -> Finding:
    values = max(float(np.median([turn.values for turn in evidence.turning.turns])), 1.0)
    places = ", ".join(f"{hole.deg:.0f}" for hole in holes[:6]) + (" ..." if len(holes) > 6 else "")
    wide = max(hole.width_deg for hole in holes)
    declared = declaration(evidence.capture.setup, holes, 360.0 / values)
    return refused(
        f"{format_count(len(holes), 'low place')} as of holes, up to {wide:.1f} deg wide, "
        f"read: at {places} deg",
        f'declare them as holes with their width: --set "holes={declared}"',
    )


def look_at_lobes(evidence: Evidence, _: Thresholds) -> Finding | None:
    """Say which waves above the highest order the part has, or how high one would have been seen."""
    lobes = evidence.lobes
    if lobes is None:
        return None
    but = f", but {', '.join(map(str, lobes.not_told))}" if lobes.not_told else ""
    if not lobes.found:
        return clear(
            f"a wave of more than {lobes.seen_mm:.4f} mm would have been seen, up to {lobes.looked_for} "
            f"round{but}"
        )
    named = "; ".join(f"form of {n} waves round, {height:.3f} mm high" for n, height in lobes.found)
    return doubtful(
        f"{named}, on every turn: counted in",
        "look for the chatter, jaws or supports that made it; encoder and drive can make a wave too",
        maybe_trace=True,
    )


def describe_bump(bump: Bump) -> str:
    """Return a bump in words: ``a ridge 0.040 mm high, 10 deg wide, at 153 deg``."""
    side = "high" if bump.height_mm > 0 else "deep"
    seen = f" on {format_count(bump.turns, 'turn')} only" if bump.kind is BumpKind.KNOCK else ""
    height, width = abs(bump.height_mm), bump.width_deg
    return f"a {bump.kind} {height:.3f} mm {side}, {width:.0f} deg wide, at {bump.deg:.0f} deg{seen}"


def look_at_end_float(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Hold the end float that was measured before this sweep against the limit."""
    floats = [
        one.event.float_mm for one in evidence.capture.events if isinstance(one.event, EndFloatMeasured)
    ]
    if not floats:
        return None
    most_mm, limit_mm = max(floats), evidence.reference_mm
    state = at.grade(most_mm / limit_mm if limit_mm > 0 else 0.0)
    text = f"end float {most_mm:.3f} mm, {100 * most_mm / limit_mm:.0f} % of the limit"
    if state is CheckState.CLEAR:
        return clear(text)
    return Finding(state, text, "take the float out or push one way while turning")
