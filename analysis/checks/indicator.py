"""Checks of the indicator: its tip, its plunger, its buttons, how late it is and what play it has."""

import math

from analysis.capture.events import UnitChanged
from analysis.checks.evidence import Evidence
from analysis.checks.finding import Finding, Thresholds, clear, doubtful, refused
from analysis.diagnosis import JumpKind

_LEAVE_THE_BUTTONS = "leave the indicator's buttons alone while turning; take the sweep again"


def look_at_tip(evidence: Evidence, at: Thresholds) -> Finding:
    """Look whether the tip stayed on the part and within its travel."""
    if evidence.out_of_range_share >= at.refused.at / 360.0:
        return refused(
            f"the gauge was beyond its range for {100 * evidence.out_of_range_share:.0f} % of the turns",
            "set the tip nearer the middle of its travel",
        )
    at_end = [one for one in evidence.standstills if one.at_extreme and one.span_deg >= at.refused.at]
    if not at_end:
        return clear("the tip stayed on and within its travel")
    longest = max(at_end, key=lambda one: one.span_deg)
    return refused(
        f"the reading stood at one extreme value for {longest.span_deg:.0f} deg from "
        f"{longest.start_deg:.0f} deg: tip off the part, or at its stop",
        "set the tip on with more travel in hand",
    )


def look_at_stuck(evidence: Evidence, at: Thresholds) -> Finding:
    """Look whether the gauge stood still on the way."""
    stood = [one for one in evidence.standstills if not one.at_extreme and one.span_deg >= at.refused.at]
    if not stood:
        return clear("the gauge moved all the way round")
    longest = max(stood, key=lambda one: one.span_deg)
    return refused(
        f"the gauge stood still for {longest.span_deg:.0f} deg from {longest.start_deg:.0f} deg while the "
        f"part turned",
        "free the plunger, tap it, see that it comes back; take the sweep again",
    )


def look_at_unit(evidence: Evidence, _: Thresholds) -> Finding:
    """Look whether somebody pressed a button on the indicator."""
    changed = [one.event for one in evidence.capture.events if isinstance(one.event, UnitChanged)]
    if changed:
        return refused(
            f"the unit of the readings changed from {changed[0].before} to {changed[0].after} on the way",
            _LEAVE_THE_BUTTONS,
        )
    jump = evidence.jump
    if jump is None or jump.kind is JumpKind.STAND:
        return clear("nobody pressed a button on the indicator")
    pressed = "in/mm" if jump.kind is JumpKind.UNIT else "zero"
    return refused(
        f"somebody pressed {pressed} on the indicator {jump.t_s:.1f} s into the recording", _LEAVE_THE_BUTTONS
    )


def look_at_lag(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Look whether readings come late, and whether anything tells by how much."""
    lag = evidence.lag
    if lag.speed_rad_s == 0.0:
        return None
    if not lag.known:
        may_deg = abs(math.degrees(lag.may_turn_rad))
        text = (
            f"turned too evenly to tell how late the gauge is: up to {1000 * lag.most_s:.0f} ms would be "
            f"{may_deg:.1f} deg at this speed"
        )
        do = "turn unevenly, or once each way"
        if may_deg < at.doubtful.at:
            return clear(f"{text}; {do}")
        return doubtful(text, f"{do}; or enter how late it is as gauge_delay")
    turned_deg = abs(math.degrees(lag.turned_rad))
    late = f"readings are {1000 * lag.lag_s:.0f} ms late: angles were turned back by {turned_deg:.1f} deg"
    if lag.disagrees:
        return doubtful(
            f"{late}; its set-up says otherwise",
            f"enter gauge_delay = {1000 * lag.lag_s:.0f} +- {2000 * lag.u_s:.0f} ms, or see what holds the "
            "gauge up",
        )
    if math.degrees(lag.u_turned_rad) >= at.doubtful.at:
        return doubtful(
            f"gauge_delay leaves {math.degrees(lag.u_turned_rad):.1f} deg unsure at this speed",
            "turn more slowly, or find out how late the gauge is: turn once each way",
        )
    if not lag.found:
        return clear(f"{late}, as its set-up says")
    if turned_deg >= at.doubtful.at:
        return doubtful(late, "turn more slowly, or enter how late it is as gauge_delay")
    if lag.matters:
        return clear(late)
    return clear(f"readings are not late ({1000 * lag.lag_s:.0f} ms)")


def look_at_backward_forward(evidence: Evidence, at: Thresholds) -> Finding | None:
    """Look whether the reading stays behind where the hand went back."""
    play = evidence.hysteresis
    if play is None:
        return None
    of_limit_mm = at.doubtful.at * evidence.reference_mm
    if play.play_mm <= max(5.0 * play.u_mm, 2.0 * evidence.gauge.resolution_mm, of_limit_mm):
        return clear("going back over the same ground it reads the same")
    return doubtful(
        f"going back over the same ground the reading stays behind by {play.play_mm:.4f} mm: play in the "
        "gauge or its stand",
        "tap the gauge: play gives way, lag does not; turn one way only",
    )


AGREES = "agrees"
"""Ends what a set-up says of a gauge of which nothing else was typed than the register has."""


def look_at_gauge_register(evidence: Evidence, _: Thresholds) -> Finding | None:
    """Say whether what was typed of the gauge is what the register has; None where that does not know it."""
    said = evidence.capture.setup.gauge_register
    if not said:
        return None
    if said.endswith(AGREES):
        return clear(f"gauge {said} with the register")
    return doubtful(
        f"gauge {said}; the register's holds",
        "correct the set-up, or enter the new certificate with fullturn gauge add, and record again",
    )
