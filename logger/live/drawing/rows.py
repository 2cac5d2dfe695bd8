"""Rows of text with a role for each piece: what every page is painted as, whatever paints it.

A role says what a piece is (a number that is over, a trace, a remark), never which colour it has.
"""

import unicodedata
from collections.abc import Iterable, Sequence

Span = tuple[str, str]
"""Text and its role."""
Row = tuple[Span, ...]

ROLES = (
    "plain", "dim", "strong", "reading", "within", "over", "undecided", "refused", "doubt", "trace", "limit",
    "mark", "key", "head", "chosen", "other",
)  # fmt: skip


def row(*pieces: str | Span) -> Row:
    """Return a row of pieces; a bare text has the role ``plain``."""
    return tuple((piece, "plain") if isinstance(piece, str) else piece for piece in pieces)


def plain(one: Row) -> str:
    """Return a row's text alone."""
    return "".join(text for text, _ in one)


def cells(text: str) -> int:
    """Return how many terminal cells a text takes."""
    if text.isascii():
        return len(text)
    return sum(_cells_of(character) for character in text)


def _cells_of(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def harmless(text: str) -> str:
    """Return text with everything that could steer a terminal replaced."""
    return text if text.isprintable() else "".join(c if c.isprintable() else "?" for c in text)


def fit(one: Row, width: int) -> Row:
    """Return the row exactly so many cells wide: cut, or filled up with blanks."""
    spans: list[Span] = []
    left = width
    for text, role in one:
        clean = harmless(text)
        size = cells(clean)
        if size > left:
            clean = _cut(clean, left)
            size = cells(clean)
        if clean:
            spans.append((clean, role))
        left -= size
        if left <= 0:
            break
    if left > 0:
        spans.append((" " * left, "plain"))
    return tuple(spans)


def _cut(text: str, width: int) -> str:
    used, kept = 0, []
    for character in text:
        used += _cells_of(character)
        if used > width:
            break
        kept.append(character)
    return "".join(kept)


def changed_cells(before: Row, now: Row) -> tuple[int, int] | None:
    """Return the first cell in which a row differs from what it was, and the one after the last."""
    if before == now:
        return None
    old, new = _by_cell(before), _by_cell(now)
    longest = max(len(old), len(new))
    old += [("", "")] * (longest - len(old))
    new += [("", "")] * (longest - len(new))
    differ = [a != b for a, b in zip(old, new, strict=True)]
    if True not in differ:
        return None
    return differ.index(True), longest - differ[::-1].index(True)


def _by_cell(one: Row) -> list[Span]:
    """Return character and role of every cell; both cells of a wide character are changed together."""
    found: list[Span] = []
    for text, role in one:
        if text.isascii():
            found += [(character, role) for character in text]
            continue
        for character in text:
            size = _cells_of(character)
            if size:
                found += [(character, role)] * size
            elif found:
                found[-1] = (found[-1][0] + character, found[-1][1])
    return found


def beside(left: Sequence[Row], right: Sequence[Row], left_width: int, gap: int = 1) -> list[Row]:
    """Return two blocks side by side; the shorter is filled up with blank rows."""
    height = max(len(left), len(right))
    blank: Row = ()
    padded = [*left, *[blank] * (height - len(left))]
    others = [*right, *[blank] * (height - len(right))]
    return [(*fit(a, left_width), (" " * gap, "plain"), *b) for a, b in zip(padded, others, strict=True)]


def shortened(text: str, width: int) -> str:
    """Return text in at most so many cells; what is cut ends in ``...``."""
    clean = harmless(text)
    return clean if cells(clean) <= width else _cut(clean, width - 3).rstrip() + "..."


def wrapped(text: str, width: int, role: str = "plain", most: int = 99) -> list[Row]:
    """Return a sentence over several rows, broken between words; what does not fit ends in ``...``."""
    lines: list[str] = []
    line = ""
    for word in harmless(text).split():
        joined = f"{line} {word}" if line else word
        if cells(joined) <= width:
            line = joined
            continue
        if line:
            lines.append(line)
        line = _cut(word, width)
    if line:
        lines.append(line)
    if len(lines) > most:
        lines = lines[:most]
        lines[-1] = _cut(lines[-1], width - 4).rstrip() + " ..."
    return [((line, role),) for line in lines]


def page(rows: Iterable[Row], width: int, height: int) -> list[Row]:
    """Return exactly ``height`` rows of exactly ``width`` cells."""
    whole = [fit(one, width) for one in rows][:height]
    return [*whole, *[fit((), width)] * (height - len(whole))]
