"""A shaft pushed home and pulled out: how far it comes, and whether a face sweep can be believed with it."""

import math
from dataclasses import dataclass

import numpy as np

from analysis.capture import Capture
from analysis.checks import CheckId, thresholds_of
from analysis.decision import Decision, DecisionState, decide
from analysis.errors import BadInput
from analysis.measurands.push_pull_holds import FLOATS_WANTED, push_pull_floats
from analysis.numerics import TRIANGULAR, Component, UncertainNumber
from analysis.results import CheckState
from analysis.setup import GaugeType, Quantity
from analysis.sweep import declared_gauge, gauge_taken_as
from analysis.uncertainty import BudgetLine, gauge_error, hysteresis, set_by_eye, with_lines

_STATES = {
    DecisionState.WITHIN: CheckState.CLEAR,
    DecisionState.UNDECIDED: CheckState.DOUBTFUL,
    DecisionState.OVER: CheckState.REFUSED,
}
_STANDS_RAD = math.pi
"""A shaft that is pushed and pulled may turn a little by itself."""


@dataclass(frozen=True)
class EndFloat:
    """What the push-pull capture says."""

    end_float: UncertainNumber | None
    """None where it was not seen often enough: not measured, which is not small."""
    cycles: int
    each_mm: tuple[float, ...]
    """Float of every push and pull."""
    share_of_limit: float | None
    """None where no limit was entered, or nothing was measured."""
    state: CheckState | None
    """Of a face sweep taken with it, or by its own limit: doubtful where that is not decided; None without a
    limit, or where nothing was measured."""
    decision: Decision | None = None
    """Against its own limit, with every line of the budget."""
    unseen: tuple[BudgetLine, ...] = ()
    """Lines that only the decision counts in."""
    taken_as: tuple[str, ...] = ()
    """What the gauge was taken for where no certificate was entered."""


def end_float(capture: Capture, limit_mm: float | None = None, *, own_limit: bool = False) -> EndFloat:
    """Return the end float of a push-pull capture.

    Parameters: the capture, with ``push`` and ``pull`` events or without (then the two levels are told from
    the readings); the limit (mm) of the runout to be measured, or with ``own_limit`` of the end float itself.
    The float goes straight into a face reading: over 0.1 of that limit it is doubtful, over 0.5 refused. Its
    own limit is decided by the rule of every other quantity.
    One that was not seen three times is not measured. Raises BadInput where the part was turned.
    """
    s = capture.samples
    kept = s.new & ~s.out_of_range
    t_s, reading = s.t_s[kept], s.reading_mm[kept]
    turned = float(np.ptp(s.angle_rad)) if len(s) else 0.0
    if turned > _STANDS_RAD:
        raise BadInput(
            f"the part was turned by {math.degrees(turned):.0f} deg: end float is taken standing; push the "
            "shaft home and pull it out without turning it"
        )
    if limit_mm is not None and not limit_mm > 0.0:
        raise BadInput(f"limit {limit_mm:g} mm is not above zero: write the maker's own limit")
    each = push_pull_floats(t_s, reading, capture.resolution_mm, capture.events)
    if len(each) < FLOATS_WANTED:
        return EndFloat(None, len(each), each, None, None)
    value = float(np.median(each))
    parts = {
        "resolution": Component(capture.resolution_mm / math.sqrt(6.0), distribution=TRIANGULAR),
        "cycle to cycle": Component(float(np.std(each, ddof=1)) / math.sqrt(len(each)), len(each) - 1),
    }
    known = UncertainNumber(value, parts, least=0.0)
    if limit_mm is None:
        return EndFloat(known, len(each), each, None, None)
    share = value / limit_mm
    if not own_limit:
        return EndFloat(known, len(each), each, share, thresholds_of(CheckId.END_FLOAT).grade(share))
    step_mm, setup = capture.resolution_mm, capture.setup
    declared = declared_gauge(setup, step_mm=step_mm)
    unseen = (
        gauge_error(declared, step_mm),
        hysteresis(declared, step_mm),
        set_by_eye(value, setup.gauge_angle_deg, lever=setup.gauge_type is GaugeType.LEVER),
    )
    as_written = setup.limit.length.as_written if setup.limit else ""
    decision = decide(
        with_lines(known, unseen), limit_mm, quantity=Quantity.END_FLOAT, limit_as_written=as_written
    )
    return EndFloat(
        known,
        len(each),
        each,
        share,
        _STATES[decision.state],
        decision,
        unseen,
        gauge_taken_as(setup, step_mm),
    )
