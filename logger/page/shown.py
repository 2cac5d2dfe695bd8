"""How text that a person entered, and what nobody entered, stands on paper."""

import re

NOT_RECORDED = "not recorded"
"""Stands where something was not entered: blank could not be told from forgotten."""
MOST = 120
"""So many characters of an entered text are shown."""
_UNPRINTABLE, _CUT = "·", "…"


def shown(text: str, most: int = MOST) -> str:
    """Return an entered text on one line: what cannot be printed is a dot, what is too long is cut."""
    one_line = " ".join(text.split())
    clean = "".join(character if character.isprintable() else _UNPRINTABLE for character in one_line)
    return clean if len(clean) <= most else f"{clean[: most - 1].rstrip()}{_CUT}"


def known(text: str | None, most: int = MOST) -> str:
    """Return an entered text, or that nothing was recorded."""
    return shown(text, most) if text else NOT_RECORDED


_NOTHING = re.compile(r"(?<![\d.])[+-]?0\.(0+) (mm|um|thou|in)\b")


def no_bare_zero(text: str) -> str:
    """Return a sentence in which a length that prints as nothing is said to be under its last digit."""
    return _NOTHING.sub(lambda seen: f"under 0.{seen[1][:-1]}1 {seen[2]}", text)


_WITH_ITS_UNIT = re.compile(r"(?<=\d) (?=(?:%|mm|um|thou|in|deg|C)(?![\w-]))")
_NO_BREAK = "\u00a0"


def unbroken(text: str) -> str:
    """Return a text in which no line ends between a number and its unit."""
    return _WITH_ITS_UNIT.sub(_NO_BREAK, text)
