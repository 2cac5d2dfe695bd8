"""How a person wants to look at it: unit, colours, glyphs. Changes no number, only how it is written."""

from dataclasses import dataclass, replace
from typing import Literal

LEAST_WIDTH, LEAST_HEIGHT = 80, 24
ROUND_FROM = 100
"""The round view stands beside the strip from this many columns on."""


@dataclass(frozen=True)
class DisplayOptions:
    """One person's way of looking."""

    unit: str = "mm"
    ascii_only: bool = False
    light: bool = False
    thick: bool = False
    round: bool = False
    """Round view instead of the strip where both do not fit."""

    def with_toggled(self, name: Literal["round", "light", "thick"]) -> "DisplayOptions":
        """Return it with one of them turned over."""
        match name:
            case "round":
                return replace(self, round=not self.round)
            case "light":
                return replace(self, light=not self.light)
            case "thick":
                return replace(self, thick=not self.thick)

    @property
    def rule(self) -> str:
        """The glyph of a rule across the page."""
        return "-" if self.ascii_only else "─"

    @property
    def star(self) -> str:
        """The glyph of a star."""
        return "*" if self.ascii_only else "★"

    @property
    def arrow(self) -> str:
        """The glyph in front of what is chosen."""
        return ">" if self.ascii_only else "▶"
