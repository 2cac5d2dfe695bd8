"""What is asked between the parts of a batch: a check standard every so many, some parts a second time."""

from dataclasses import dataclass
from enum import StrEnum

from analysis.errors import BadInput


class NextSweep(StrEnum):
    """What is named."""

    PART = "part"
    CHECK = "check"
    """The check standard."""
    SECOND = "second"
    """A part that was measured, taken off and is put on again."""


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """How often what is asked."""

    check_every: int | None = None
    """After so many parts the check standard; None = never."""
    check_part: str = ""
    """What the check standard is called in its recordings."""
    twice_every: int | None = None
    """Every so many parts one is measured a second time; None = never."""


def batch_plan(check_every: int | None, check_part: str | None, twice_every: int | None) -> BatchPlan:
    """Return the plan. Raises BadInput where what belongs together is not given together."""
    name = (check_part or "").strip()
    if (check_every is None) != (not name):
        raise BadInput(
            "--check-every and --check-part go together: after how many parts, and which check standard"
        )
    return BatchPlan(check_every, name, twice_every)
