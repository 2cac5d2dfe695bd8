"""Colours of the roles, dark and light, from a published palette that colour-blind eyes can tell apart.

Okabe and Ito, Color Universal Design, 2008 (from memory): orange, sky blue, yellow, blue, vermilion; darker
ones on white. Every colour has words or letters beside it, so nothing is lost without any.
"""

from rich.style import Style

DARK = {
    "plain": "#d8d8d8 on #121212",
    "dim": "#9a9a9a on #121212",
    "strong": "bold #ffffff on #121212",
    "reading": "bold #ffffff on #121212",
    "within": "bold #56b4e9 on #121212",
    "over": "bold #e69f00 on #121212",
    "undecided": "bold #f0e442 on #121212",
    "doubt": "#f0e442 on #121212",
    "trace": "#56b4e9 on #121212",
    "limit": "#e69f00 on #121212",
    "mark": "#f0e442 on #121212",
    "key": "bold #121212 on #d8d8d8",
    "head": "#ffffff on #303030",
    "chosen": "bold #ffffff on #303030",
    "other": "#e69f00 on #121212",
}
LIGHT = {
    "plain": "#202020 on #ffffff",
    "dim": "#5a5a5a on #ffffff",
    "strong": "bold #000000 on #ffffff",
    "reading": "bold #000000 on #ffffff",
    "within": "bold #005a94 on #ffffff",
    "over": "bold #a04000 on #ffffff",
    "undecided": "bold #6b5400 on #ffffff",
    "doubt": "#6b5400 on #ffffff",
    "trace": "#005a94 on #ffffff",
    "limit": "#a04000 on #ffffff",
    "mark": "#6b5400 on #ffffff",
    "key": "bold #ffffff on #303030",
    "head": "#000000 on #dcdcdc",
    "chosen": "bold #000000 on #dcdcdc",
    "other": "#a04000 on #ffffff",
}


class Colours:
    """A style for every role."""

    def __init__(self, *, light: bool, bare: bool = False) -> None:
        """``bare``: no colours at all, only bold and reversed."""
        palette = LIGHT if light else DARK
        self._styles = {role: Style.parse(_bare(role) if bare else words) for role, words in palette.items()}
        self._plain = self._styles["plain"]

    def style_of(self, role: str) -> Style:
        """Return the style of a role; never None."""
        return self._styles.get(role, self._plain)


def _bare(role: str) -> str:
    if role in ("key", "head"):
        return "reverse"
    if role in ("strong", "reading", "within", "over", "undecided"):
        return "bold"
    return "bold reverse" if role == "chosen" else "none"
