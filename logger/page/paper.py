"""The sheets of paper a page is made for, and how large its text may be so that one of them holds it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """One size of paper, upright, lengths in mm."""

    name: str
    css: str
    """As style sheets call it."""
    width_mm: float
    height_mm: float


PAPERS = {"a4": Paper("a4", "A4", 210.0, 297.0), "letter": Paper("letter", "letter", 215.9, 279.4)}
MARGINS_MM = 21.0
"""Above and below together."""
LARGEST, SMALLEST, _STEP = 7.8, 5.0, 0.1
"""Of the text, in points."""
LINE_HEIGHT = 1.24
_MM_PER_POINT = 25.4 / 72.0
_LETTER_WIDE = 0.51
"""Of its size, on average, in the widest of the fonts that a browser may take."""


@dataclass(frozen=True, slots=True)
class Passage:
    """A text that is folded to a width."""

    text: str
    wide_mm: float
    size: float = 0.0
    """Points; 0 = as the rest."""
    spared_mm: float = 0.3
    """Left free after it."""

    def tall_mm(self, size: float) -> float:
        """Return about how much of the height it takes."""
        points = self.size or size
        per_line = max(1, int(self.wide_mm / (points * _MM_PER_POINT * _LETTER_WIDE)))
        lines = max(1, math.ceil(len(self.text) / per_line))
        return lines * points * _MM_PER_POINT * LINE_HEIGHT + self.spared_mm


def text_size(paper: Paper, rows: Iterable[tuple[Passage, ...]], drawn_mm: float) -> float:
    """Return the largest size, in points, at which one paper holds rows of blocks and what is drawn."""
    every, room = tuple(rows), paper.height_mm - MARGINS_MM - drawn_mm
    size = LARGEST
    while size > SMALLEST and math.fsum(max(one.tall_mm(size) for one in row) for row in every) > room:
        size = round(size - _STEP, 1)
    return size
