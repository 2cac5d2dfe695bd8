"""What may be said of the part at this moment: the one place that pages, wall, bell and plain lines ask.

Whatever says over, within or a distance to the limit comes from the decision alone. What breaks the TIR takes
high point and verdict with it.
"""

from dataclasses import dataclass
from enum import StrEnum

from analysis.decision import Decision, DecisionState
from analysis.results import CheckState, SweepResult
from logger.live.state.state import LiveState


class Claim(StrEnum):
    """The word that stands for the whole."""

    NOTHING = "nothing yet"
    LOST = "lost"
    """Nothing comes from gauge or board: what was known is not told as if it were live."""
    BROKEN = "broken"
    """The turns so far count no more, until a mark is touched."""
    REFUSED = "refused"
    """A check refuses the sweep: nothing is decided."""
    UNDECIDED = "not decided"
    WITHIN = "within"
    OVER = "over"
    MEASURED = "measured"
    """There are numbers and no limit to hold them against, or nothing is decided at this stage."""


@dataclass(frozen=True)
class Claims:
    """What may be said now."""

    claim: Claim = Claim.NOTHING
    cause: str = ""
    """Of what is broken or refused, in words; else empty."""
    remedy: str = ""
    """The one thing to do about it."""
    by_mm: float | None = None
    """By how much the decided number is over the limit, or under it; None where nothing says which."""

    @property
    def tells_numbers(self) -> bool:
        """Tell whether a TIR, a high point or a star may be shown."""
        return self.claim not in (Claim.LOST, Claim.BROKEN)

    @property
    def decided(self) -> bool:
        """Tell whether the part is said to be within or over."""
        return self.claim in (Claim.WITHIN, Claim.OVER)


def claims_of(state: LiveState, *, live: bool) -> Claims:
    """Return what may be said now; ``live``: gauge and board speak."""
    if state.sweep.broken:
        return Claims(Claim.BROKEN, state.sweep.broken, "begin anew: mark under the tip, press M, turn")
    if not live and state.role.owns_board and not state.ended:
        return Claims(Claim.LOST)
    result = state.analysis.result if state.analysis else None
    return Claims() if result is None else _claims_of_result(result)


def is_over(result: SweepResult | None) -> bool:
    """Tell whether a result says that the part is over the limit: what the bell rings for."""
    return result is not None and _claims_of_result(result).claim is Claim.OVER


def _claims_of_result(result: SweepResult) -> Claims:
    decision = result.decision
    refused = next((check for check in result.checks if check.state is CheckState.REFUSED), None)
    if refused is not None:
        return Claims(Claim.REFUSED, refused.text, refused.do)
    if decision is None:
        return Claims(Claim.MEASURED)
    if decision.state is DecisionState.UNDECIDED:
        return Claims(Claim.UNDECIDED, decision.why)
    claim = Claim.OVER if decision.state is DecisionState.OVER else Claim.WITHIN
    return Claims(claim, by_mm=_by_mm(decision))


def _by_mm(decision: Decision) -> float:
    return abs(decision.number.value - decision.limit_mm)
