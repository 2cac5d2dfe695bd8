"""Colours of the roles by what they mean, for terminals of any number of colours.

Blue is what was measured, orange and heavy is over the limit and nothing else, yellow is a place; refused and
broken are reversed, as keys are. All else is told by its words alone, bright or grey. Okabe and Ito, Color
Universal Design, 2008 (from memory): orange, sky blue and yellow, which colour-blind eyes tell apart; darker
ones on white. Every word has at least 7:1 of contrast (WCAG 2.1, success criterion 1.4.6). No red, no green.
"""

from collections.abc import Mapping
from enum import StrEnum

from rich.style import Style


class Palette(StrEnum):
    """How many colours a terminal has."""

    MANY = "many"
    """256 or more."""
    SIXTEEN = "16"
    EIGHT = "8"
    NONE = "none"


DARK = {
    "plain": "#d8d8d8 on #121212",
    "dim": "#a8a8a8 on #121212",
    "strong": "bold #ffffff on #121212",
    "over": "bold #e69f00 on #121212",
    "refused": "bold #121212 on #d8d8d8",
    "trace": "#56b4e9 on #121212",
    "mark": "#f0e442 on #121212",
    "key": "bold #121212 on #d8d8d8",
    "head": "#ffffff on #303030",
    "chosen": "bold #ffffff on #303030",
}
LIGHT = {
    "plain": "#202020 on #ffffff",
    "dim": "#505050 on #ffffff",
    "strong": "bold #000000 on #ffffff",
    "over": "bold #8f3800 on #ffffff",
    "refused": "bold #ffffff on #303030",
    "trace": "#005590 on #ffffff",
    "mark": "#5c4800 on #ffffff",
    "key": "bold #ffffff on #303030",
    "head": "#000000 on #dcdcdc",
    "chosen": "bold #000000 on #dcdcdc",
}
SIXTEEN = {
    "plain": "white",
    "strong": "bold bright_white",
    "over": "bold yellow",
    "trace": "bright_cyan",
    "mark": "bright_yellow",
}
"""The terminal's own colours; a light one of sixteen has only bold, underlined and reversed."""
EIGHT = {"plain": "white", "strong": "bold", "over": "bold yellow", "trace": "cyan", "mark": "bold"}
BARE = {
    "plain": "none",
    "strong": "bold",
    "over": "bold underline",
    "mark": "bold",
    "head": "reverse",
    "chosen": "bold reverse",
}
_AS = {
    "reading": "strong",
    "within": "strong",
    "undecided": "strong",
    "doubt": "plain",
    "limit": "plain",
    "other": "dim",
}
"""Roles that look like another one: what they say is said by their words."""


class Colours:
    """A style for every role."""

    def __init__(self, *, light: bool, palette: Palette = Palette.MANY) -> None:
        table = _table(palette, light=light)
        self._plain = Style.parse(table["plain"])
        self._styles = {role: Style.parse(words) for role, words in table.items()}

    def style_of(self, role: str) -> Style:
        """Return the style of a role; never None."""
        return self._styles.get(_AS.get(role, role), self._plain)


def _table(palette: Palette, *, light: bool) -> Mapping[str, str]:
    if palette is Palette.MANY:
        return LIGHT if light else DARK
    few = {Palette.SIXTEEN: SIXTEEN, Palette.EIGHT: EIGHT, Palette.NONE: BARE}[palette]
    reversed_roles = dict.fromkeys(("key", "refused"), "bold reverse")
    return {**BARE, **reversed_roles, **({} if light else few)}


def palette_of(color_system: str | None, terminal: str, *, no_color: bool) -> Palette:
    """Return what a terminal can show: by what the library that writes to it found, and by its name."""
    if no_color or color_system is None:
        return Palette.NONE
    if color_system != "standard":
        return Palette.MANY
    return Palette.SIXTEEN if "16" in terminal else Palette.EIGHT
