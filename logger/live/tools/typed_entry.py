"""Prompted typing of a dial's readings: place after place on the number pad, then the start again."""

from dataclasses import dataclass, field

from analysis.errors import BadInput
from analysis.setup import Setup
from analysis.sweep import analyse
from analysis.units import parse_number
from logger.inputs import typed_capture
from logger.live.state.sweep_so_far import SweepSoFar

CHOICES = (4, 6, 8, 12)
ALLOWED = "0123456789.,+-"


def choices(setup: Setup) -> list[tuple[str, tuple[float, ...]]]:
    """Return the sets of places that can be chosen: 4, 6, 8, 12, or the holes."""
    found = [(f"{count} places", tuple(360.0 * k / count for k in range(count))) for count in CHOICES]
    if len(setup.holes) >= 3:
        found.append((f"the {len(setup.holes)} holes", tuple(hole.deg for hole in setup.holes)))
    return found


@dataclass
class TypedEntry:
    """Readings being typed."""

    deg: tuple[float, ...]
    unit: str
    typed: list[str] = field(default_factory=list)
    buffer: str = ""
    problem: str = ""

    @property
    def over(self) -> bool:
        """Tell whether every place and the start again are there."""
        return len(self.typed) > len(self.deg)

    @property
    def place_deg(self) -> float:
        """The place that is asked for now; the start again at the end."""
        return self.deg[len(self.typed) % len(self.deg)]

    def key(self, character: str) -> None:
        """Take one character of the number."""
        if character in ALLOWED and len(self.buffer) < 9:
            self.buffer += character
            self.problem = ""

    def rub_out(self) -> None:
        """Take the last character back, or the last place where none is being typed."""
        if self.buffer:
            self.buffer = self.buffer[:-1]
        elif self.typed:
            self.buffer = self.typed.pop()
        self.problem = ""

    def enter(self) -> None:
        """Take the number as it stands; words where it is none."""
        try:
            parse_number(self.buffer, "reading")
        except BadInput:
            self.problem = f"{self.buffer or 'nothing'} is not a number: type one like -2 or 0.5"
            return
        self.typed.append(self.buffer)
        self.buffer = ""

    def values(self) -> list[float]:
        """Return what was typed so far, in the unit."""
        return [parse_number(text) for text in self.typed]

    def as_written(self) -> str:
        """Return all places as ``sweep --typed`` takes them, with the start again as closing."""
        places = (*self.deg, self.deg[0] + 360.0)
        return " ".join(
            [*(f"{deg:g}:{text}" for deg, text in zip(places, self.typed, strict=True)), self.unit]
        )

    def analysed(self, setup: Setup) -> SweepSoFar:
        """Analyse what was typed, with the start again as closing."""
        text = {key: value for key, value in setup.text.items() if not key.startswith("rig.")}
        try:
            return SweepSoFar(analyse(typed_capture(self.as_written(), text)), "", None, None, None)
        except BadInput as error:
            return SweepSoFar(None, str(error), None, None, None)
