"""A face under two opposed tips, analysed with the shaft's axial motion off its readings.

What only one tip shows, stuck or at its stop or a button pressed, is looked for in each tip's own readings.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from analysis.capture import Capture
from analysis.checks import CheckId
from analysis.decision import DecisionState
from analysis.results import Check, CheckState, SweepResult
from analysis.separation.opposed_tips import Opposed, without_axial_motion
from analysis.sweep import Options, analyse
from analysis.uncertainty import two_tips

OF_ONE_TIP = (CheckId.GAUGE_RATE, CheckId.TIP, CheckId.STUCK, CheckId.UNIT, CheckId.STAND)
"""Checks that the difference of two tips would hide."""


@dataclass(frozen=True)
class TwoTips:
    """What two tips tell."""

    result: SweepResult
    """The face with the axial motion off the first tip's readings."""
    alone: SweepResult
    """The first tip by itself."""
    opposed: Opposed
    apart_deg: float


def analyse_two_tips(
    first: Capture, second: Capture, options: Options | None = None, *, apart_deg: float = 180.0
) -> TwoTips:
    """Analyse a face from two tips read together; the second reads ``apart_deg`` further on.

    Raises BadInput where the two were not read together or stand too close, and what ``analyse`` raises.
    """
    options = options or Options()
    alone = analyse(first, options)
    other = analyse(second, replace(options, limit=alone.setup.limit))
    highest = alone.pooled.highest_order
    capture, opposed = without_axial_motion(first, second, apart_deg=apart_deg, highest_order=highest)
    lines = two_tips(opposed.axial_motion_tir_mm, opposed.face.tir_first_mm / 2.0)
    result = analyse(capture, replace(options, orders=highest, unseen=(*options.unseen, *lines)))
    checks = checks_of_both_tips(result.checks, alone, other)
    decision = result.decision
    refused = [check for check in checks if check.state is CheckState.REFUSED]
    if decision is not None and refused and decision.state is not DecisionState.UNDECIDED:
        decision = replace(decision, state=DecisionState.UNDECIDED, why=refused[0].text, more_turns=None)
    remark = "the axial walk that both tips see is taken off the first tip's readings"
    return TwoTips(
        replace(result, checks=checks, decision=decision, remarks=(*result.remarks, remark)),
        alone,
        opposed,
        apart_deg,
    )


def checks_of_both_tips(
    checks: Sequence[Check], first: SweepResult, second: SweepResult
) -> tuple[Check, ...]:
    """Return checks of both tips together, each as one tip's own readings have it where that is worse."""
    return tuple(_as_of_the_worse_tip(check, first, second) for check in checks)


def _as_of_the_worse_tip(check: Check, alone: SweepResult, other: SweepResult) -> Check:
    if check.name not in OF_ONE_TIP:
        return check
    found = check
    for tip, result in (("second", other), ("first", alone)):
        for own in result.checks:
            same = own.name == check.name and own.state is not CheckState.CLEAR
            if same and own.state.rank >= found.state.rank:
                found = replace(own, text=f"{tip} tip: {own.text}")
    return found
