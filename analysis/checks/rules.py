"""Can this sweep be believed? One function a check, each with its state, its words and the one thing to do.

Thresholds that depend on the limit use the limit at the track, or the fitted TIR where no limit was given.
The project's DEVELOPERS.md has them as a table. A refused check leaves every decision undecided.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from analysis.capture import Capture, IndexPulses
from analysis.capture.events import ClockBackwards, EndFloatMeasured, GapCause, UnevenTurns, UnitChanged
from analysis.diagnosis import (
    FILLED_DEG,
    Bump,
    BumpKind,
    GaugeFacts,
    Hysteresis,
    Jump,
    JumpKind,
    Lag,
    Slip,
    Standstill,
    beat_with_turning,
)
from analysis.results import Check, CheckState, TurnResult

GAP_DEG = (12.0, 30.0)
WIDEST_BETWEEN_PLACES_DEG = 100.0
"""Of a few places read one by one: four, read by eye."""
OF_LIMIT = (0.1, 0.3)
"""Closure, drift per turn and repeat: doubtful, refused, as shares of the limit."""
END_FLOAT_OF_LIMIT = (0.1, 0.5)
LOST_SHARE_REFUSED = 0.2
COUNTS_OFF_DEG = (0.2, 0.5)
FLAT_DEG = 10.8
"""Three per cent of a turn."""
FEWEST_VALUES = 21
"""New values a turn for orders 1 to 3; fewer cannot tell a wobble from an oval."""
SPEED_RATIO = 2.0

_BUTTONS = ("unit", "stand")
_GAUGE = (*_BUTTONS, "tip", "stuck")
CAUSES = {
    "tip": _BUTTONS,
    "stuck": _BUTTONS,
    "closure": _GAUGE,
    "drift": _GAUGE,
    "repeat": (*_GAUGE, "counts", "closure", "drift"),
    "bumps": _GAUGE,
}
"""Which refused checks explain which others."""


@dataclass(frozen=True)
class Evidence:
    """All that the checks look at. Lengths in mm."""

    capture: Capture
    turns: Sequence[TurnResult]
    other_direction: int
    """Full turns against the main direction."""
    refused_turns: Sequence[str]
    """What is said of turns that were left out."""
    gauge: GaugeFacts
    reference_mm: float
    """The limit at the track, or the fitted TIR."""
    noise_of_curve_mm: float
    """What noise alone makes of the greatest difference between two turns' curves."""
    closure_mm: float | None
    """Reading back at the mark less the first one, a fitted drift taken off; None where not taken."""
    closure_noise_mm: float
    drift_per_turn_mm: float | None
    drift_noise_mm: float
    repeat_mm: float
    bumps: Sequence[Bump]
    flats: Sequence[Standstill]
    out_of_range_share: float
    jump: Jump | None
    places: int
    """Different places at which there are values, over all turns."""
    together_gap_deg: float
    """Widest gap of all turns together."""
    holes_left_out: int
    few_places: bool = False
    """True where so few places were read that faults of a stream cannot be looked for."""
    lag: Lag | None = None
    """What speed changes tell of a late gauge."""
    play: Hysteresis | None = None
    """What ground trodden twice tells of play."""
    slip: Slip | None = None
    """Slip between turns, where no index pulse checks the counts."""


def run_checks(evidence: Evidence) -> list[Check]:
    """Return every check that this sweep allows, in the order of the work."""
    looked = (
        _link(evidence),
        _mark(evidence),
        _counts(evidence),
        _direction(evidence),
        _coverage(evidence),
        _turns(evidence),
        _speed(evidence),
        _gauge_rate(evidence),
        _tip(evidence),
        _stuck(evidence),
        _unit(evidence),
        _stand(evidence),
        _closure(evidence),
        _drift(evidence),
        _repeat(evidence),
        _bumps(evidence),
        _lag(evidence),
        _backward_forward(evidence),
        _end_float(evidence),
    )
    return _explained([check for check in looked if check is not None])


def _explained(checks: list[Check]) -> list[Check]:
    """Take back to doubtful what another refused check explains: one fault, one refusal."""
    refused = {check.name for check in checks if check.state is CheckState.REFUSED}

    def taken_back(check: Check) -> Check:
        cause = next((name for name in CAUSES.get(check.name, ()) if name in refused), None)
        if check.state is not CheckState.REFUSED or cause is None:
            return check
        return replace(check, state=CheckState.DOUBTFUL, text=f"{check.text} (see {cause})")

    return [taken_back(check) for check in checks]


def _grade(value: float, limits: tuple[float, float]) -> CheckState:
    return (
        CheckState.REFUSED
        if value > limits[1]
        else CheckState.DOUBTFUL
        if value > limits[0]
        else CheckState.CLEAR
    )


def _against(evidence: Evidence, value: float, noise: float) -> CheckState:
    """Grade a length against shares of the limit; what noise and step of the gauge explain is clear."""
    floor = max(3.0 * noise, 2.0 * evidence.gauge.resolution_mm)
    soft, hard = (share * evidence.reference_mm for share in OF_LIMIT)
    return _grade(value, (max(soft, floor), max(hard, floor)))


def _link(e: Evidence) -> Check | None:
    link = e.capture.link
    if link is None:
        return None
    before = e.capture.restarted_s
    if link.restarts and (before is None or any(turn.start_s < before for turn in e.turns)):
        return Check("link", CheckState.REFUSED, "the board restarted in the middle of "
        "the sweep", "touch the mark again "
                     "and take the sweep again")  # fmt: skip
    unplugged = sum(gap.why is GapCause.UNPLUGGED for gap in link.gaps)
    stalled = sum(gap.why is GapCause.STALLED for gap in link.gaps)
    share = link.lost / max(link.frames + link.lost, 1)
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
    backwards = [one.event.times for one in e.capture.events if isinstance(one.event, ClockBackwards)]
    if backwards:
        said.append(f"the device's clock ran backwards {backwards[0]} time(s)")
    if link.bad > max(1, link.frames // 100):
        said.append(f"{link.bad} pieces of what came could not be read")
    if not said:
        unread = f"; {link.bad} that could not be read, left out" if link.bad else ""
        return Check("link", CheckState.CLEAR, f"{link.frames} frames, none lost{unread}")
    state = CheckState.REFUSED if share > LOST_SHARE_REFUSED and not unplugged else CheckState.DOUBTFUL
    todo = "look at cable and plug, away from drives; take the sweep again"
    if link.dropped and not link.lost and not unplugged:
        todo = "ask for a lower rate (--rate) or a faster link (--baud)"
    return Check("link", state, "; ".join(said), todo)


def _mark(e: Evidence) -> Check | None:
    if e.capture.angle_source in ("typed", "stops"):
        return None
    if e.capture.angle_source == "steady":
        return Check(
            "mark",
            CheckState.CLEAR,
            "angles count from the start of the recording only: they find no place on the part",
        )
    if e.capture.marked:
        return Check("mark", CheckState.CLEAR, f"angles count from the {e.capture.setup.mark_on}'s mark")
    return Check(
        "mark",
        CheckState.CLEAR,
        f"no mark was touched: where the encoder began to count stands for the "
        f"{e.capture.setup.mark_on}'s mark",
    )


def _counts(e: Evidence) -> Check | None:
    if e.capture.angle_source == "typed":
        return None
    link = e.capture.link
    reported = [text for text in e.capture.broken if "restart" not in text]
    if reported or (link and link.enc_errors):
        text = (
            reported[0]
            if reported
            else f"the encoder reported {link.enc_errors if link else 0} impossible steps"
        )
        return Check(
            "counts",
            CheckState.REFUSED,
            text,
            "turn more slowly, look at encoder and coupling, take the sweep again",
        )
    off, number = index_disagreement_deg(e.capture.index)
    if number == 0 and e.slip is not None:
        return _slipped(e.slip)
    if number == 0:
        return Check("counts", CheckState.CLEAR, "no index pulse to check the counts by")
    state = _grade(off, COUNTS_OFF_DEG)
    if state is CheckState.CLEAR:
        return Check("counts", CheckState.CLEAR, f"{number} index to index turns agree with the counts")
    return Check(
        "counts",
        state,
        f"from index to index the count is off by {off:.2f} deg: counts were lost, or the counts "
        f"per turn are wrong",
        "look at encoder, coupling and counts per turn; take the sweep again",
    )


def _slipped(slip: Slip) -> Check:
    """Tell lost counts from the turns themselves, where there is no index pulse."""
    off = abs(slip.step_deg)
    state = _grade(off, COUNTS_OFF_DEG) if slip.clear else CheckState.CLEAR
    if state is CheckState.CLEAR:
        return Check(
            "counts", CheckState.CLEAR, f"no index pulse; the turns themselves agree to {off:.2f} deg"
        )
    return Check(
        "counts",
        state,
        f"no index pulse, and between two turns the part's orders moved by {off:.2f} deg: counts were lost",
        "look at encoder and coupling, turn more slowly; take the sweep again",
    )


def _lag(e: Evidence) -> Check | None:
    if e.few_places or e.lag is None:
        return None
    turned = math.degrees(e.lag.turned_rad)
    if e.lag.clear:
        return Check(
            "lag",
            CheckState.DOUBTFUL,
            f"readings are {1000 * e.lag.lag_s:.0f} ms late: high places are found about {turned:.1f} deg "
            "too far on at this speed",
            "turn more slowly, or find the high place turning both ways and take the middle",
        )
    if not e.lag.known:
        return Check("lag", CheckState.CLEAR, "turned too evenly to tell how late the gauge is; none is seen")
    return Check("lag", CheckState.CLEAR, f"readings are not late ({1000 * e.lag.lag_s:.0f} ms)")


def _backward_forward(e: Evidence) -> Check | None:
    if e.few_places or e.play is None:
        return None
    play, resolution = e.play, e.gauge.resolution_mm
    floor = max(5.0 * play.u_mm, 2.0 * resolution, OF_LIMIT[0] * e.reference_mm)
    if play.play_mm <= floor:
        return Check(
            "backward-forward", CheckState.CLEAR, "going back over the same ground it reads the same"
        )
    return Check(
        "backward-forward",
        CheckState.DOUBTFUL,
        f"going back over the same ground the reading stays behind by {play.play_mm:.4f} mm: play in the "
        "gauge or its stand",
        "tap the gauge: play gives way, lag does not; turn one way only",
    )


def index_disagreement_deg(index: IndexPulses) -> tuple[float, int]:
    """Return the most degrees by which two pulses fail to be whole turns apart, and the number of pairs.

    Only pairs of neighbouring pulses passed in the same direction count: after a reversal the pulse stands
    off by its own width.
    """
    worst, pairs = 0.0, 0
    for k in range(1, len(index.angle_rad)):
        same = index.direction[k] == index.direction[k - 1] and index.segment[k] == index.segment[k - 1]
        if same:
            turned = float(index.angle_rad[k] - index.angle_rad[k - 1]) / 6.283185307179586
            worst = max(worst, abs(turned - (round(turned) or index.direction[k])) * 360.0)
            pairs += 1
    return worst, pairs


def _direction(e: Evidence) -> Check | None:
    if e.few_places:
        return None
    way = "with growing angle" if e.turns and e.turns[0].direction > 0 else "against growing angle"
    if e.other_direction == 0:
        return Check("direction", CheckState.CLEAR, f"all turns {way}")
    return Check(
        "direction",
        CheckState.DOUBTFUL,
        f"{e.other_direction} full turn(s) went the other way and are not counted in",
        "turn one way only; both ways are for telling lag from play",
    )


def _coverage(e: Evidence) -> Check:
    gap = max(turn.largest_gap_deg for turn in e.turns)
    if min(turn.values for turn in e.turns) < FEWEST_VALUES:
        # Too fast for the gauge: no turn is seen by itself, but many together may be.
        gap = e.together_gap_deg
    state = _grade(gap, GAP_DEG)
    if e.few_places:
        if gap < WIDEST_BETWEEN_PLACES_DEG:
            return Check("coverage", CheckState.CLEAR, f"widest gap {gap:.0f} deg")
        return Check(
            "coverage", CheckState.DOUBTFUL, f"widest gap {gap:.0f} deg", "read more places, better 8 or 12"
        )
    if state is CheckState.CLEAR and not e.refused_turns:
        return Check("coverage", state, f"seen all round: widest gap {gap:.1f} deg")
    if state is CheckState.CLEAR:
        return Check("coverage", CheckState.DOUBTFUL, "; ".join(e.refused_turns), "take another turn")
    why = " where windows are left out" if e.holes_left_out else ""
    return Check(
        "coverage",
        state,
        f"not seen all round: a gap of {gap:.0f} deg{why}",
        "turn more slowly there and take another turn",
    )


def _turns(e: Evidence) -> Check:
    if e.few_places:
        return Check("turns", CheckState.CLEAR, f"{len(e.turns)} typed turn(s)")
    if len(e.turns) == 1:
        return Check(
            "turns",
            CheckState.DOUBTFUL,
            "only one full turn: drift, and motion that does not repeat, show only where its ends part, "
            "and the intervals may not hold all of it",
            "take two more turns",
        )
    return Check("turns", CheckState.CLEAR, f"{len(e.turns)} full turns")


def _speed(e: Evidence) -> Check | None:
    uneven = [one.event.turns for one in e.capture.events if isinstance(one.event, UnevenTurns)]
    if uneven:
        return Check(
            "speed",
            CheckState.DOUBTFUL,
            f"{uneven[0]} turn(s) were turned too unevenly for an index mark alone and are left out",
            "turn evenly, without stopping, from mark to mark",
        )
    speeds = [turn.rpm for turn in e.turns if turn.rpm > 0]
    if e.few_places or not speeds:
        return None
    text = f"turned at {min(speeds):.1f} to {max(speeds):.1f} rpm"
    if max(speeds) > SPEED_RATIO * min(speeds):
        return Check(
            "speed",
            CheckState.DOUBTFUL,
            f"{text}: a late gauge puts the high spot elsewhere at each speed",
            "turn evenly",
        )
    return Check("speed", CheckState.CLEAR, text)


def _gauge_rate(e: Evidence) -> Check | None:
    if e.capture.angle_source == "typed" or not e.capture.timed:
        return None
    values = min(turn.values for turn in e.turns)
    fastest = max((turn.rpm for turn in e.turns), default=0.0)
    text = f"{values} new values a turn at {fastest:.1f} rpm; this gauge gives {e.gauge.rate_hz:.1f} a second"
    todo = f"turn no faster than {e.gauge.max_rpm:.1f} rpm by what this gauge can follow"
    if values < FEWEST_VALUES:
        beat = beat_with_turning(e.gauge.rate_hz, fastest)
        if beat is not None:
            return Check(
                "gauge-rate",
                CheckState.REFUSED,
                f"at {fastest:.0f} rpm a gauge of {e.gauge.rate_hz:.1f} a second sees only {beat.places} "
                "places, turn after turn",
                f"{beat.slower_rpm} or {beat.faster_rpm} rpm would fill the turn; better, {todo}",
            )
        if e.together_gap_deg <= FILLED_DEG:
            return Check(
                "gauge-rate",
                CheckState.DOUBTFUL,
                f"{text}: {len(e.turns)} turns together show orders 1 and 2 only",
                todo,
            )
        seen = (
            f"{values} new values a turn, {e.places} different places in all"
            if e.places < 3 * values
            else f"{values} new values a turn"
        )
        return Check(
            "gauge-rate",
            CheckState.REFUSED,
            f"only {seen}: too fast for a gauge of {e.gauge.rate_hz:.1f} a second",
            todo,
        )
    if values < 72 and fastest > e.gauge.max_rpm:
        return Check("gauge-rate", CheckState.DOUBTFUL, f"{text}: high orders are not seen", todo)
    return Check("gauge-rate", CheckState.CLEAR, text)


def _tip(e: Evidence) -> Check | None:
    if e.few_places:
        return None
    ends = [flat for flat in e.flats if flat.at_extreme and flat.span_deg >= FLAT_DEG]
    if e.out_of_range_share >= FLAT_DEG / 360.0:
        return Check("tip", CheckState.REFUSED, f"the gauge was beyond its range for "
        f"{100 * e.out_of_range_share:.0f} % of the turns",
                     "set the tip nearer the middle of its travel")  # fmt: skip
    if ends:
        flat = max(ends, key=lambda one: one.span_deg)
        return Check("tip", CheckState.REFUSED, f"the reading stood at one extreme value for "
        f"{flat.span_deg:.0f} deg from "
                     f"{flat.start_deg:.0f} deg: tip off the part, or at "
                     f"its stop", "set the tip on with more travel in hand")  # fmt: skip
    return Check("tip", CheckState.CLEAR, "the tip stayed on and within its travel")


def _stuck(e: Evidence) -> Check | None:
    if e.few_places:
        return None
    flats = [flat for flat in e.flats if not flat.at_extreme and flat.span_deg >= FLAT_DEG]
    if not flats:
        return Check("stuck", CheckState.CLEAR, "the gauge moved all the way round")
    flat = max(flats, key=lambda one: one.span_deg)
    return Check(
        "stuck",
        CheckState.REFUSED,
        f"the gauge stood still for {flat.span_deg:.0f} deg from {flat.start_deg:.0f} deg while the "
        f"part turned",
        "free the plunger, tap it, see that it comes back; take the sweep again",
    )


def _unit(e: Evidence) -> Check | None:
    if e.few_places:
        return None
    changed = [one.event for one in e.capture.events if isinstance(one.event, UnitChanged)]
    if changed:
        return Check(
            "unit",
            CheckState.REFUSED,
            f"the unit on the lines changed from {changed[0].before} to {changed[0].after} on the way",
            "leave the indicator's buttons alone while turning; take the sweep again",
        )
    if e.jump is None or e.jump.kind is JumpKind.STAND:
        return Check("unit", CheckState.CLEAR, "nobody pressed a button on the indicator")
    pressed = "in/mm" if e.jump.kind is JumpKind.UNIT else "zero"
    return Check("unit", CheckState.REFUSED, f"somebody pressed {pressed} on the indicator {e.jump.t_s:.1f} "
    f"s into the recording",
                 "leave the indicator's buttons alone while turning; take the sweep again")  # fmt: skip


def _stand(e: Evidence) -> Check | None:
    if e.few_places:
        return None
    if e.jump is None or e.jump.kind is not JumpKind.STAND:
        return Check("stand", CheckState.CLEAR, "no jump of the stand")
    return Check("stand", CheckState.REFUSED, f"the reading jumped by {e.jump.step_mm:+.3f} mm "
    f"{e.jump.t_s:.1f} s into the recording and stayed: "
                 "stand or gauge was knocked", "fasten stand and gauge, take the sweep again")  # fmt: skip


def _closure(e: Evidence) -> Check | None:
    if e.closure_mm is None:
        return None
    state = _against(e, abs(e.closure_mm), e.closure_noise_mm)
    text = f"comes back to its start within {abs(e.closure_mm):.4f} mm"
    if state is CheckState.CLEAR:
        return Check("closure", state, text)
    return Check("closure", state, f"does not come back to its start: {e.closure_mm:+.4f} mm",
                 "look for a loose stand, a warm part or end float; take the sweep again")  # fmt: skip


def _drift(e: Evidence) -> Check | None:
    if e.drift_per_turn_mm is None:
        return None
    state = _against(e, abs(e.drift_per_turn_mm), e.drift_noise_mm)
    text = f"drift {e.drift_per_turn_mm:+.4f} mm a turn, taken out"
    if state is CheckState.CLEAR:
        return Check("drift", state, text)
    return Check("drift", state, text, "let part and stand come to one temperature, fasten the stand")


def _repeat(e: Evidence) -> Check | None:
    if len(e.turns) < 2 or e.few_places:
        return None
    state = _against(e, e.repeat_mm, e.noise_of_curve_mm)
    text = f"turns agree within {e.repeat_mm:.4f} mm"
    if state is CheckState.CLEAR:
        return Check("repeat", state, text)
    return Check("repeat", state, f"does not repeat turn to turn: up to {e.repeat_mm:.4f} mm "
    f"between two turns",
                 "look at bearings, end float and the stand")  # fmt: skip


def _bumps(e: Evidence) -> Check | None:
    if e.few_places:
        return None
    found = [bump for bump in e.bumps if bump.kept and bump.kind is not BumpKind.HOLE]
    if not found:
        return Check("bumps", CheckState.CLEAR, "no narrow bump")
    told = ", ".join(describe_bump(bump) for bump in found[:3])
    more = f" and {len(found) - 3} more" if len(found) > 3 else ""
    knocks = all(bump.kind is BumpKind.KNOCK for bump in found)
    todo = (
        "take another turn without touching the bench"
        if knocks
        else ("look and feel there: clean, deburr, or leave it out by name and reason")
    )
    return Check("bumps", CheckState.DOUBTFUL, told + more, todo)


def describe_bump(bump: Bump) -> str:
    """Return a bump in words: ``a ridge 0.040 mm high, 10 deg wide, at 153 deg``."""
    side = "high" if bump.height_mm > 0 else "deep"
    seen = f" on {bump.turns} turn(s) only" if bump.kind is BumpKind.KNOCK else ""
    height, width = abs(bump.height_mm), bump.width_deg
    return f"a {bump.kind} {height:.3f} mm {side}, {width:.0f} deg wide, at {bump.deg:.0f} deg{seen}"


def _end_float(e: Evidence) -> Check | None:
    floats = [one.event.float_mm for one in e.capture.events if isinstance(one.event, EndFloatMeasured)]
    if not floats:
        return None
    worst = max(floats)
    state = _grade(worst / e.reference_mm if e.reference_mm > 0 else 0.0, END_FLOAT_OF_LIMIT)
    text = f"end float {worst:.3f} mm, {100 * worst / e.reference_mm:.0f} % of the limit"
    return Check(
        "end-float",
        state,
        text,
        "" if state is CheckState.CLEAR else "take the float out or push one way while turning",
    )
