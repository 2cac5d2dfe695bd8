"""A canvas of braille points, two across and four high in each cell, with words and lines behind the trace.

Marks and limit lines never cover the trace: where a cell has a point of it, the point is shown. Without
braille glyphs (``ascii_only``) a cell shows whether its upper or lower half is met.
"""

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats
from logger.live.drawing.rows import Row, Span

_WEIGHTS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])
ACROSS, HIGH = 2, 4
_BRAILLE = 0x2800


class Canvas:
    """``width`` by ``height`` cells; point (0, 0) is the upper left one."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.points: NDArray[np.bool_] = np.zeros((height * HIGH, width * ACROSS), bool)
        self._behind: dict[tuple[int, int], Span] = {}

    def columns(self, low: Floats, high: Floats) -> None:
        """Light every column of points from ``low`` to ``high`` (rows, growing downward); NaN: nothing."""
        with np.errstate(invalid="ignore"):
            y = np.arange(self.points.shape[0])[:, None]
            self.points |= (y >= np.floor(low + 0.5)) & (y <= np.floor(high + 0.5))

    def dots(self, x: Floats, y: Floats) -> None:
        """Light single points; those outside are left out."""
        inside = np.isfinite(x) & np.isfinite(y)
        column, line = np.rint(x[inside]).astype(int), np.rint(y[inside]).astype(int)
        there = (column >= 0) & (line >= 0) & (column < self.points.shape[1]) & (line < self.points.shape[0])
        self.points[line[there], column[there]] = True

    def thicken(self) -> None:
        """Make the trace one point thicker, for glare."""
        thick = self.points.copy()
        thick[1:] |= self.points[:-1]
        thick[:, 1:] |= self.points[:, :-1]
        self.points = thick

    def behind(self, x: int, y: int, text: str, role: str) -> None:
        """Put words behind the trace, beginning in this cell; what lies outside is left out."""
        for k, character in enumerate(text):
            if 0 <= x + k < self.width and 0 <= y < self.height:
                self._behind[y, x + k] = (character, role)

    def rows(self, role: str = "trace", *, ascii_only: bool = False) -> list[Row]:
        """Return the canvas as rows; the trace has this role."""
        cells = self.points.reshape(self.height, HIGH, self.width, ACROSS)
        codes = np.einsum("yaxb,ab->yx", cells, _WEIGHTS)
        return [self._row(y, codes[y].tolist(), role, ascii_only) for y in range(self.height)]

    def _row(self, y: int, codes: list[int], role: str, ascii_only: bool) -> Row:
        spans: list[Span] = []
        text, now = "", ""
        for x, code in enumerate(codes):
            if code:
                character, wanted = (_in_ascii(code) if ascii_only else chr(_BRAILLE + code)), role
            else:
                character, wanted = self._behind.get((y, x), (" ", "plain"))
            if wanted != now and text:
                spans.append((text, now))
                text = ""
            text, now = text + character, wanted
        return (*spans, (text, now)) if text else tuple(spans)


def _in_ascii(code: int) -> str:
    upper, lower = bool(code & 0x1B), bool(code & 0xE4)
    return ":" if upper and lower else "'" if upper else "."
