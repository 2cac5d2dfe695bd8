"""Checks of link and angle: whether what was sent arrived, and whether the counts are the angle."""

import math

import numpy as np

from analysis.capture import IndexPulses, LinkCounts
from analysis.capture.events import ClockBackwards, GapCause
from analysis.checks.evidence import Evidence
from analysis.checks.finding import Finding, Thresholds, clear, doubtful, refused
from analysis.diagnosis import Slip
from analysis.results import CheckState

INDEX_PLACES_MOST = 20
"""Of one turn; a number with room between an index seen several times and mains hum at any hand speed."""


def look_at_link(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Look at what the link lost; typed readings have none."""
    link = evidence.capture.link
    if link is None:
        return None
    before = evidence.capture.restarted_s
    if link.restarts and (before is None or any(turn.start_s < before for turn in evidence.turning.turns)):
        return refused(
            "the board restarted in the middle of the sweep", "touch the mark again and take the sweep again"
        )
    unplugged = sum(gap.why is GapCause.UNPLUGGED for gap in link.gaps)
    said = _what_the_link_did(evidence, link, unplugged)
    if not said:
        unread = f"; {link.bad} that could not be read, left out" if link.bad else ""
        return clear(f"{link.frames} frames, none lost{unread}")
    todo = "look at cable and plug, away from drives; take the sweep again"
    if link.not_decoded:
        todo = "keep the recording, it is whole: a newer program may read on; take the sweep again"
    if link.dropped and not link.lost and not unplugged:
        todo = "ask for a lower rate (--rate) or a faster link (--baud)"
    lost_share = link.lost / max(link.frames + link.lost, 1)
    return (refused if lost_share > at.refused.at and not unplugged else doubtful)("; ".join(said), todo)


def _what_the_link_did(evidence: Evidence, link: LinkCounts, unplugged: int) -> list[str]:
    stalled = sum(gap.why is GapCause.STALLED for gap in link.gaps)
    said = []
    if link.restarts:
        said.append("the board restarted before these turns, and the mark was touched again")
    if unplugged:
        said.append(f"the cable was out {unplugged} time(s)")
    if stalled:
        said.append(f"nothing came for two seconds or more, {stalled} time(s)")
    if link.lost:
        said.append(f"the link lost {link.lost} of {link.frames + link.lost} frames")
    if link.dropped:
        said.append(f"the board was too busy and dropped {link.dropped} readings")
    backwards = [one.event.times for one in evidence.capture.events if isinstance(one.event, ClockBackwards)]
    if backwards:
        said.append(f"the device's clock ran backwards {backwards[0]} time(s)")
    if link.not_decoded:
        said.append(f"{link.not_decoded} bytes were kept and not decoded")
    if link.bad > max(1, link.frames // 100):
        said.append(f"{link.bad} pieces of what came could not be read")
    return said


def look_at_mark(evidence: Evidence, _: Thresholds) -> Finding:
    """Say where angles count from, which is never a doubt."""
    capture = evidence.capture
    if not capture.angle_source.has_mark:
        return clear(
            "angles count from the start of the recording only: they find no place on the part",
        )
    if capture.marked:
        return clear(f"angles count from the {capture.setup.mark_on}'s mark")
    return clear(
        f"no mark was touched: where the encoder began to count stands for the {capture.setup.mark_on}'s mark"
    )


def look_at_counts(evidence: Evidence, at: Thresholds) -> Finding:
    """Look whether counts were lost: by the board's word, index to index, else turn to turn."""
    link = evidence.capture.link
    reported = [text for text in evidence.capture.broken if "restart" not in text]
    if link is not None and link.enc_errors:
        reported.append(f"the encoder reported {link.enc_errors} impossible steps")
    if reported:
        return refused(reported[0], "turn more slowly, look at encoder and coupling, take the sweep again")
    if marks_no_turn(evidence.capture.index):
        return doubtful(
            f"an index came at more than {INDEX_PLACES_MOST} places of a turn: it marks no turn, and the "
            "counts were not held against it",
            "the index input hangs open or picks up noise: wire it, or tie it to its level at rest",
        )
    off, pairs = index_disagreement_deg(evidence.capture.index)
    state = at.grade(off)
    if state is not CheckState.CLEAR:
        return Finding(
            state,
            f"from index to index the count is off by {off:.2f} deg: counts were lost, or the counts "
            f"per turn are wrong",
            "look at encoder, coupling and counts per turn; take the sweep again",
        )
    if evidence.slip is not None and evidence.slip.clear:
        return _slipped(evidence.slip, at, pairs)
    return clear(
        f"{pairs} index to index turns agree with the counts"
        if pairs
        else "no index pulse to check the counts by; no slip is seen in the turns"
    )


def _slipped(slip: Slip, at: Thresholds, pairs: int) -> Finding:
    """Tell what moved the encoder against the part; an index that agrees leaves only the coupling."""
    off = abs(slip.step_deg)
    cause = "the coupling slipped" if pairs else "the coupling slipped or counts were lost"
    if slip.creeps:
        text = f"over the sweep the encoder crept by {off:.1f} deg against the part: {cause}"
        if not pairs:
            text += ", or the counts per turn are wrong"
    else:
        text = (
            f"in turn {slip.turn + 1}, at {slip.at_deg:.0f} deg, the encoder moved by {off:.1f} deg against "
            f"the part: {cause}"
        )
    return Finding(at.grade(off), text, "tighten the coupling, turn more slowly; take the sweep again")


def marks_no_turn(index: IndexPulses) -> bool:
    """Tell whether the index came at more places of one turn than an index can: an open input that hums.

    A wrong number of counts per turn puts an index at a few places of what is taken for a turn; bouncing,
    or its other edge after a reversal, at places next to one another. Places are a degree wide.
    """
    turned = index.angle_rad / (2.0 * math.pi)
    if len(turned) <= INDEX_PLACES_MOST:
        return False
    places = np.unique(
        np.column_stack([index.segment, np.floor(turned), np.floor(turned % 1.0 * 360.0)]), axis=0
    )
    _, in_each = np.unique(places[:, :2], axis=0, return_counts=True)
    return bool(in_each.max() > INDEX_PLACES_MOST)


def index_disagreement_deg(index: IndexPulses) -> tuple[float, int]:
    """Return the most degrees by which two pulses fail to be whole turns apart, and the number of pairs.

    Only pairs of neighbouring pulses passed in the same direction count: after a reversal the pulse stands
    off by its own width.
    """
    most, pairs = 0.0, 0
    for k in range(1, len(index.angle_rad)):
        same = index.direction[k] == index.direction[k - 1] and index.segment[k] == index.segment[k - 1]
        if same:
            turned = float(index.angle_rad[k] - index.angle_rad[k - 1]) / (2.0 * math.pi)
            most = max(most, abs(turned - (round(turned) or index.direction[k])) * 360.0)
            pairs += 1
    return most, pairs
