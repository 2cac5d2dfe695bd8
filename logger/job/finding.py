"""What a step has shown, and how lengths and vectors in it are written."""

from collections.abc import Mapping
from dataclasses import dataclass

from analysis.errors import FullturnError
from analysis.measurands import EndFloat
from analysis.numerics import OrderVectors
from analysis.results import CheckState
from analysis.units import format_length
from logger.inputs import AnalysedSweep

NOT_MEASURED, NOT_TOLD, MOUNT_AGAIN, STOP = "not-measured", "not-told", "mount-again", "stop"
REFUSING = (CheckState.REFUSED, NOT_MEASURED, NOT_TOLD, MOUNT_AGAIN, STOP)
"""States after which the step is done again, or gone on without in so many words."""
ROLES = {
    CheckState.CLEAR: "within",
    CheckState.DOUBTFUL: "doubt",
    CheckState.REFUSED: "over",
    "mounting-good": "within",
    MOUNT_AGAIN: "over",
    STOP: "over",
    NOT_MEASURED: "doubt",
    NOT_TOLD: "doubt",
    **{name: name for name in ("within", "over", "undecided", "doubt", "strong")},
}
"""The role in which each state is shown."""
SHORT = {
    "mounting-good": "good",
    MOUNT_AGAIN: "again",
    CheckState.REFUSED: "refused",
    "within": "within",
    "over": "OVER",
}
"""States in the list of steps."""

Found = Mapping[str, AnalysedSweep | EndFloat | str]
"""What each sweep gave, by its id; a text says why it gave nothing."""


@dataclass(frozen=True)
class Finding:
    """What a step has shown."""

    sentence: str
    state: str = "strong"
    """``mounting-good`` and so on where SPACE depends on it; the state of a verdict; else how it is shown."""
    figure: str = ""
    """In a word or two, without the unit."""
    lines: tuple[str, ...] = ()
    curve: OrderVectors | None = None
    """To be drawn."""
    failed: bool = False
    """True where the sentence says why nothing could be told: never kept in place of a result."""

    @property
    def refuses(self) -> bool:
        """Tell whether nothing may walk past it: the step is done again, or gone on without."""
        return self.failed or self.state in REFUSING

    @property
    def role(self) -> str:
        """The role of the sentence."""
        return ROLES.get(self.state, "strong")


class MissingSweep(FullturnError):
    """Another step's sweep is needed and not there."""


@dataclass(frozen=True, slots=True)
class LengthWriter:
    """Lengths and vectors in one unit."""

    unit: str

    def length(self, mm: float) -> str:
        """Return a length with its unit."""
        return format_length(mm, self.unit)

    def bare(self, mm: float) -> str:
        """Return a length without its unit."""
        return self.length(mm).split()[0]

    def vector(self, vectors: OrderVectors) -> str:
        """Return TIR and high side of order 1."""
        return f"{self.length(vectors.tir_first_mm)} @ {vectors.high_side_deg:.0f} deg"

    def figure(self, mm: float, state: str) -> str:
        """Return a length and a state for the list of steps."""
        if state == "undecided":
            return "not decided"
        return f"{self.bare(mm)} {SHORT.get(state, '')}".rstrip()
