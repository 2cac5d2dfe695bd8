"""What a check finds in a sweep, and from where on it is doubtful or refused."""

import math
from dataclasses import dataclass

from analysis.results import CheckState


@dataclass(frozen=True, slots=True)
class Finding:
    """What one check says of one sweep."""

    state: CheckState
    text: str
    do: str = ""
    """The one thing to do about it; empty when clear."""
    maybe_trace: bool = False
    """True where it is such that a late gauge or one with play could have left it."""


def clear(text: str) -> Finding:
    """Return the finding that nothing is wrong."""
    return Finding(CheckState.CLEAR, text)


def doubtful(text: str, do: str, *, maybe_trace: bool = False) -> Finding:
    """Return the finding of a doubt, which leaves the decision as it is."""
    return Finding(CheckState.DOUBTFUL, text, do, maybe_trace)


def refused(text: str, do: str) -> Finding:
    """Return the finding that the sweep cannot be believed, which leaves every decision undecided."""
    return Finding(CheckState.REFUSED, text, do)


@dataclass(frozen=True, slots=True)
class Bound:
    """Where a state begins, in words, with ``{}`` where the number stands."""

    words: str
    at: float = math.inf

    def __str__(self) -> str:
        """Return the words with the number in them."""
        return self.words.format(f"{self.at:g}")


NEVER = Bound("-")


@dataclass(frozen=True, slots=True)
class Thresholds:
    """From where on a check is doubtful and refused; in the unit that stands in the words."""

    doubtful: Bound = NEVER
    refused: Bound = NEVER
    few_places: Bound = NEVER
    """Doubtful where only a few places were read one by one."""

    def grade(self, value: float) -> CheckState:
        """Return the state of a value of which more is worse."""
        if value > self.refused.at:
            return CheckState.REFUSED
        return CheckState.DOUBTFUL if value > self.doubtful.at else CheckState.CLEAR
