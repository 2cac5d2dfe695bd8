"""Within the entered limit, over it, or not decided: one rule for every quantity.

Within if the one-sided 95 % upper limit is at or under the limit, over if the lower one is at or over it,
otherwise not decided (ISO 14253-1, JCGM 106, both from memory). A manual's limit means what a dial shows:
where readings, fit and repeating bumps fall on different sides of it, nothing is decided (the ridge rule).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from analysis.decision.looks import ONE_LOOK, Looks
from analysis.errors import BadInput
from analysis.numerics import UncertainNumber
from analysis.setup import Limit, Quantity, Setup, Surface
from analysis.units import to_mm

RULE = "one-sided-95"
"""Names the rule of this module in every result."""
RULE_TEXT = (
    "within where the one-sided 95 % upper limit of the value, every line of the budget in it, is at or "
    "under the limit; over where the lower one is at or over it; else not decided"
)
"""The rule in words, as it is stored with each decision."""


@dataclass(frozen=True)
class Witness:
    """Another look at the same quantity, that has to fall on the same side of the limit, guard and all."""

    number: UncertainNumber
    words: str
    """What it is and where, for the sentence that explains: ``a ridge 0.040 mm high at 153 deg``."""


class DecisionState(StrEnum):
    """On which side of the limit a quantity lies, as far as it can be said."""

    WITHIN = "within"
    OVER = "over"
    UNDECIDED = "undecided"

    @property
    def words(self) -> str:
        """The same as people read it."""
        return "not decided" if self is DecisionState.UNDECIDED else f"{self.value} the entered limit"


@dataclass(frozen=True)
class Decision:
    """What was decided about one quantity against one limit."""

    quantity: str
    number: UncertainNumber
    limit_mm: float
    limit_as_written: str
    guard_mm: float
    """Distance from the value to the one-sided limit on the limit's side."""
    state: DecisionState
    why: str
    more_turns: int | None
    """How many more turns would decide, counting only the random part; None where they would not."""
    dial: UncertainNumber | None = None
    """What a dial would show of this quantity, noise and rounding taken off; None where it was not asked."""
    looks: Looks = ONE_LOOK
    """Which look at the part this is, and what it is held to."""

    def __repr__(self) -> str:
        """Return the verdict on one line."""
        number = (
            f"{self.number.value:.4f} mm, guard band {self.guard_mm:.4f} mm, limit {self.limit_mm:.4f} mm"
        )
        return f"Decision({self.quantity}, {self.state}: {number})"


@dataclass(frozen=True)
class Decidable:
    """A quantity ready to be held against any limit: its number, and what a decision has to heed."""

    number: UncertainNumber
    """All lines in it; its one-sided limits hold with the level of the look."""
    looks: Looks = ONE_LOOK
    witnesses: tuple[Witness, ...] = ()
    refused: tuple[str, ...] = ()
    more_turns: Callable[[float], int | None] = lambda limit_mm: None
    """How many more turns would decide against a limit in mm."""
    dial: UncertainNumber | None = None
    """What a dial would show of it, noise and rounding taken off."""

    def against(self, limit_mm: float, quantity: str, limit_as_written: str = "") -> Decision:
        """Return the decision. Raises BadInput for a limit not above zero."""
        decided = decide(
            self.number,
            limit_mm,
            quantity=quantity,
            limit_as_written=limit_as_written,
            witnesses=self.witnesses,
            refused=self.refused,
            more_turns=self.more_turns(limit_mm) or None,
            looks=self.looks,
        )
        return replace(decided, dial=self.dial)


def limit_at_track(limit: Limit, setup: Setup) -> tuple[float, str]:
    """Return the limit in mm at the track, and a remark where it had to be scaled.

    A face limit written for another radius is in proportion to the radius (US Army TM 9-2815-202-34,
    p. 4-75: so many inches per inch of radius). Raises BadInput where the track's own radius is missing.
    """
    if limit.radius_mm is None or setup.surface != Surface.FACE:
        return limit.length.mm, ""
    if setup.track_radius_mm is None:
        raise BadInput(
            f"the limit holds at a radius of {limit.radius_mm:g} mm but the radius of the track is "
            f"not known: "
            "set track_radius"
        )
    scale = setup.track_radius_mm / limit.radius_mm
    remark = (
        f"limit {limit.length.as_written} at radius {limit.radius_mm:g} mm scaled to "
        f"{limit.length.mm * scale:.4f} mm at the track's {setup.track_radius_mm:g} mm"
    )
    return limit.length.mm * scale, remark if abs(scale - 1.0) > 1e-12 else ""


def decide(
    number: UncertainNumber,
    limit_mm: float,
    *,
    quantity: str = Quantity.TIR,
    limit_as_written: str = "",
    witnesses: Sequence[Witness] = (),
    refused: Sequence[str] = (),
    more_turns: int | None = None,
    looks: Looks = ONE_LOOK,
) -> Decision:
    """Decide one uncertain length against one limit.

    Parameters: ``limit_mm`` at the track (a pint length is accepted); the ``quantity`` by name; ``witnesses``
    other values of the same quantity that must fall on the same side; ``refused`` sentences of refused
    checks, any of which leaves it undecided; ``more_turns`` what the caller knows of further turns; ``looks``
    which look this is (the number's one-sided limits hold with its level already). Raises BadInput for a
    limit not above zero.
    """
    limit = float(to_mm(limit_mm, "limit"))
    if not limit > 0:
        raise BadInput(f"limit {limit:g} mm is not above zero: write the maker's own limit")
    value = number.value
    low, high = number.one_sided()
    guard = high - value if value < limit else value - low
    state, why = _state(low, high, value, limit, guard)
    against = [witness for witness in witnesses if _speaks_against(witness, state, value, limit)]
    if refused:
        state, why, more_turns = DecisionState.UNDECIDED, refused[0], None
    elif looks.too_early:
        why = (
            f"{looks.turns} of {looks.turns_planned} planned turns: not decided yet, "
            f"on the way to {_on_the_way(state)}"
        )
        state, more_turns = DecisionState.UNDECIDED, (looks.turns_planned or 0) - looks.turns
    elif against and state != DecisionState.UNDECIDED:
        state, more_turns = DecisionState.UNDECIDED, None
        why = f"{'; '.join(witness.words for witness in against)}: not on the same side of the limit"
    elif against:
        why = f"{why}; {'; '.join(witness.words for witness in against)}"
        more_turns = None
    elif state != DecisionState.UNDECIDED:
        more_turns = None
    return Decision(
        quantity,
        number,
        limit,
        limit_as_written,
        max(0.0, guard),
        state,
        why,
        more_turns,
        looks=looks,
    )


def _speaks_against(witness: Witness, state: DecisionState, value: float, limit: float) -> bool:
    """Return whether a witness leaves open what the value would decide, or lies on its other side."""
    low, high = witness.number.one_sided()
    if state is DecisionState.WITHIN:
        return high > limit
    if state is DecisionState.OVER:
        return low < limit
    return (witness.number.value > limit) != (value > limit)


def _on_the_way(state: DecisionState) -> str:
    return "no decision" if state is DecisionState.UNDECIDED else state.value


def _state(low: float, high: float, value: float, limit: float, guard: float) -> tuple[DecisionState, str]:
    if high <= limit:
        return DecisionState.WITHIN, f"value and guard band of {guard:.4f} mm stay under the limit"
    if low >= limit:
        return DecisionState.OVER, f"value less a guard band of {guard:.4f} mm is still over the limit"
    return (
        DecisionState.UNDECIDED,
        f"the limit lies within the guard band of {guard:.4f} mm about {value:.4f} mm",
    )
