"""Checks of sampling: whether enough of the part was seen, evenly enough and not too fast for the gauge."""

from analysis.capture.events import UnevenTurns
from analysis.checks.evidence import Evidence
from analysis.checks.finding import Finding, Thresholds, clear, doubtful, refused
from analysis.diagnosis import beat_with_turning
from analysis.results import CheckState
from analysis.units import format_count

FEWEST_VALUES = 30
"""New values a turn; fewer leave gaps of twelve degrees in every turn, however evenly they come."""


def look_at_direction(evidence: Evidence, _: Thresholds) -> Finding:
    """Look whether full turns went the other way."""
    turns, other = evidence.turning.turns, evidence.turning.other_direction
    direction = "with growing angle" if turns and turns[0].direction > 0 else "against growing angle"
    if other == 0:
        return clear(f"all turns {direction}")
    return doubtful(
        f"{other} full turn(s) went the other way and are not counted in",
        "turn one way only; both ways are for telling lag from play",
    )


def look_at_coverage(evidence: Evidence, at: Thresholds) -> Finding:
    """Look whether the part was seen all round."""
    turning = evidence.turning
    gap = max(turn.largest_gap_deg for turn in turning.turns)
    if min(turn.values for turn in turning.turns) < FEWEST_VALUES:
        # Too fast for the gauge: no turn is seen by itself, but many together may be.
        gap = turning.together_gap_deg
    if evidence.few_places:
        text = f"widest gap {gap:.0f} deg"
        return clear(text) if gap < at.few_places.at else doubtful(text, "read more places, better 8 or 12")
    state = at.grade(gap)
    if state is CheckState.CLEAR and not turning.refused_turns:
        return clear(f"seen all round: widest gap {gap:.1f} deg")
    if state is CheckState.CLEAR:
        return doubtful("; ".join(turning.refused_turns), "take another turn")
    why = " where windows are left out" if turning.windows_left_out else ""
    return Finding(
        state,
        f"not seen all round: a gap of {gap:.0f} deg{why}",
        "turn more slowly there and take another turn",
    )


def look_at_turns(evidence: Evidence, _: Thresholds) -> Finding:
    """Look whether there is a second turn to hold the first against."""
    turns = evidence.turning.turns
    if evidence.few_places:
        return clear(f"{len(turns)} typed turn(s)")
    if len(turns) == 1:
        return doubtful(
            "only one full turn: drift, and motion that does not repeat, show only where its ends part, "
            "and the intervals may not hold all of it",
            "take two more turns",
        )
    return clear(f"{len(turns)} full turns")


def look_at_speed(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Look whether the part was turned evenly; readings without times have no speed."""
    uneven = [one.event.turns for one in evidence.capture.events if isinstance(one.event, UnevenTurns)]
    if uneven:
        return doubtful(
            f"{format_count(uneven[0], 'turn')} turned too unevenly for an index mark alone, left out",
            "turn evenly, without stopping, from mark to mark",
        )
    speeds = [turn.rpm for turn in evidence.turning.turns if turn.rpm > 0]
    if evidence.few_places or not speeds:
        return None
    text = f"turned at {min(speeds):.1f} to {max(speeds):.1f} rpm"
    if max(speeds) > at.doubtful.at * min(speeds):
        return doubtful(f"{text}: a late gauge puts the high spot elsewhere at each speed", "turn evenly")
    return clear(text)


def look_at_gauge_rate(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Look whether the gauge gave new values enough a turn; readings without times have no rate."""
    if not evidence.capture.timed:
        return None
    gauge, turning = evidence.gauge, evidence.turning
    values = min(turn.values for turn in turning.turns)
    fastest = max(turn.rpm for turn in turning.turns)
    text = f"{values} new values a turn at {fastest:.1f} rpm; this gauge gives {gauge.rate_hz:.1f} a second"
    todo = f"turn no faster than {gauge.max_rpm:.1f} rpm by what this gauge can follow"
    orders = turning.highest_order
    if orders >= at.doubtful.at:
        return clear(text)
    beat = beat_with_turning(gauge.rate_hz, fastest)
    if orders >= at.refused.at:
        return doubtful(f"{text}: orders above {orders} are not seen", f"{todo}, or take more turns")
    if beat is not None:
        return refused(
            f"at {fastest:.0f} rpm a gauge of {gauge.rate_hz:.1f} a second sees only {beat.places} "
            "places, turn after turn",
            f"{beat.slower_rpm} or {beat.faster_rpm} rpm would fill the turn; better, {todo}",
        )
    seen = f"{values} new values a turn"
    if turning.places < 3 * values:
        seen += f", {turning.places} different places in all"
    return refused(
        f"only {seen}, orders 1 to {orders}: too fast for a gauge of {gauge.rate_hz:.1f} a second",
        f"{todo}, or take more turns",
    )
