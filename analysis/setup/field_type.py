"""What a field of the set-up is: its key, how it is written, and everything that is ever asked of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class FieldKind(StrEnum):
    """How a value is written."""

    CHOICE = "choice"
    TEXT = "text"
    LENGTH = "length"
    NUMBER = "number"
    ANGLE = "angle"
    TORQUE = "torque"
    WHOLE = "whole number"
    CHANNEL = "channel"
    CLOCK = "clock place"
    HOLES = "holes"
    ANGLES = "angles"
    DATE = "date"
    PAIRS = "pairs"
    DELAY = "delay"
    TEMPERATURE = "temperature"

    @property
    def unit(self) -> str:
        """Unit of a value of this kind once read; empty where it has none, or any."""
        return _UNITS.get(self, "")


_UNITS = {
    FieldKind.LENGTH: "mm",
    FieldKind.PAIRS: "mm",
    FieldKind.ANGLE: "deg",
    FieldKind.ANGLES: "deg",
    FieldKind.HOLES: "deg",
    FieldKind.DELAY: "ms",
    FieldKind.TEMPERATURE: "C",
}


class KeptWith(StrEnum):
    """Under which name a saved set-up keeps a field: the board's (bench) or the part's."""

    BENCH = "bench"
    PART = "part"


class CompareEffect(StrEnum):
    """What a difference in this field does to a comparison of before and after."""

    BLOCKS = "blocks"
    RESCALED = "rescaled"
    NOTED = "noted"


class FieldGroup(StrEnum):
    """Fields that go together from one sweep to the next."""

    LIMIT = "limit"
    MARK_TOUCHED = "mark touched"
    CERTIFICATE = "certificate"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupField:
    """One field of the set-up."""

    key: str
    """Promised: as it stands in files, ``--set``, recordings and the store."""
    kind: FieldKind
    help: str
    """What it is, in one line."""
    example: str
    """A value as a person types it."""
    label: str = ""
    """Its name on the form of the screen; empty = not asked for there."""
    hint: str = ""
    """What the form says while it is typed."""
    default: str = ""
    """What holds where nothing is written."""
    choices: type[StrEnum] | None = None
    spellings: Mapping[str, str] | None = None
    """Other ways to write a choice."""
    number_unit: str = ""
    """Of a plain number once read: deg, counts."""
    positive: bool = False
    """True for a length or number that has to be above zero."""
    least: float | None = None
    most: float | None = None
    """Ends of a number that is taken, where it has any."""
    whole: range | None = None
    """Whole numbers that are taken, where it is one."""
    attribute: str = ""
    """Its name in ``Setup``; empty = read from the text by who needs it."""
    kept_with: KeptWith = KeptWith.PART
    group: FieldGroup | None = None
    compare: CompareEffect | None = None
    """None = a difference does nothing to a comparison."""
    same_mounting: bool = False
    """True where sweeps of one mounting agree in it."""
    of_one_sweep: bool = False
    """True where a practice scenario says it anew for each sweep of a job."""

    @property
    def unit(self) -> str:
        """Unit of the value once read: mm, deg, counts."""
        return self.number_unit or self.kind.unit

    @property
    def words(self) -> tuple[str, ...]:
        """The values it may have, as written; empty where it is typed."""
        return tuple(word.value for word in self.choices or ())

    def written_in(self, text: Mapping[str, str]) -> str:
        """Return its value as written in a set-up, or its default."""
        return text.get(self.key, self.default)

    def next_choice(self, text: Mapping[str, str], step: int = 1) -> str:
        """Return the choice after (or before) the one in a set-up."""
        written = self.written_in(text)
        at = self.words.index(written) if written in self.words else 0
        return self.words[(at + step) % len(self.words)]
