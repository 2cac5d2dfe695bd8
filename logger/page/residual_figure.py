"""How far readings lie from the curve, over time and turn by turn: what drifts or jumps is seen here."""

from collections.abc import Sequence

import numpy as np

from analysis.capture import Floats
from analysis.sweep import Residuals, residuals
from logger.inputs import AnalysedSweep
from logger.page.drawing import Drawing, Ink, Path, Shape, Words, box, one_two_five

WIDTH = 186.0
_LEFT, _TOP, _WIDE, _TALL = 20.0, 2.0, 164.0, 19.0
_TURN_TALL, _APART = 9.0, 1.0
_FOOT = 6.0
_COLUMNS = 328
"""Of half a millimetre: in each the lowest and the highest reading are drawn."""
_MOST_TURNS = 8
"""Of more, so many are drawn, spread over the sweep."""


def residual_figure(title: str, one: AnalysedSweep) -> Drawing:
    """Return readings less curve against time, as a band from the lowest to the highest of each moment."""
    found = residuals(one.capture, one.result)
    full, lasted = _full(found), float(found.t_s[-1]) or 1.0
    shapes = _band(found.t_s / lasted, found.off_mm, full, _TOP, _TALL)
    shapes += _scale(full, _TOP, _TALL)
    shapes += _foot(_TOP + _TALL, [f"{share * lasted:.3g} s" for share in (0.0, 0.25, 0.5, 0.75, 1.0)])
    height = _TOP + _TALL + _FOOT
    return Drawing(WIDTH, height, f"{title}: readings less curve against time", tuple(shapes))


def turn_by_turn_figure(title: str, one: AnalysedSweep) -> Drawing:
    """Return readings less curve against angle, a strip a turn on one scale."""
    found = residuals(one.capture, one.result)
    full, there = _full(found), np.unique(found.turn)
    if len(there) > _MOST_TURNS:
        there = there[np.unique(np.linspace(0, len(there) - 1, _MOST_TURNS).round().astype(np.int64))]
    shapes: list[Shape] = []
    top = _TOP
    for position in there:
        here = found.turn == position
        shapes += _band(found.angle_deg[here] / 360.0, found.off_mm[here], full, top, _TURN_TALL)
        number = one.result.turns[position].turn + 1
        shapes.append(Words(_LEFT - 1.5, top + _TURN_TALL / 2 + 0.7, f"turn {number}", 2.1, "end"))
        top += _TURN_TALL + _APART
    # Each strip is as tall, from the one end of this scale to the other.
    shapes += _foot(top - _APART, ["0 deg", "90", "180", "270", "360"])
    words = f"{title}: readings less curve of each turn, a strip is {2.0 * full:g} mm tall"
    return Drawing(WIDTH, top - _APART + _FOOT, words, tuple(shapes))


def strip_mm(one: AnalysedSweep) -> float:
    """Return the length that a strip of ``turn_by_turn_figure`` is tall."""
    return 2.0 * _full(residuals(one.capture, one.result))


def _full(found: Residuals) -> float:
    return one_two_five(float(np.abs(found.off_mm).max()) or 1e-6)


def _band(share: Floats, off_mm: Floats, full: float, top: float, tall: float) -> list[Shape]:
    """Return lowest to highest of each column; ``share`` tells how far to the right each reading stands."""

    def y(mm: float) -> float:
        return top + tall * (0.5 - mm / (2.0 * full))

    shapes: list[Shape] = [box(_LEFT, top, _WIDE, tall, line=Ink.DIM, width=0.15)]
    shapes.append(Path(((_LEFT, y(0.0)), (_LEFT + _WIDE, y(0.0))), Ink.DIM, 0.12, dashes=(0.8, 0.6)))
    column = np.minimum((share * _COLUMNS).astype(np.int64), _COLUMNS - 1)
    for at in np.unique(column):
        here = off_mm[column == at]
        x = _LEFT + _WIDE * (float(at) + 0.5) / _COLUMNS
        # A reading by itself has no height, and would not be seen.
        low, high = y(float(here.min())) + 0.15, y(float(here.max())) - 0.15
        shapes.append(Path(((x, low), (x, high)), Ink.CURVE, 0.35))
    return shapes


def _scale(full: float, top: float, tall: float) -> list[Shape]:
    return [
        Words(_LEFT - 1.5, top + tall * down + (1.6 if down == 0.0 else 0.7), words, 2.1, "end")
        for down, words in ((0.0, f"+{full:g} mm"), (0.5, "curve"), (1.0, f"-{full:g} mm"))
    ]


def _foot(bottom: float, words: Sequence[str]) -> list[Shape]:
    shapes: list[Shape] = []
    for k, each in enumerate(words):
        anchor = "start" if k == 0 else "end" if k == len(words) - 1 else "middle"
        x = _LEFT + _WIDE * k / (len(words) - 1)
        shapes.append(Words(x, bottom + 3.2, each, 2.1, anchor, Ink.DIM))
    return shapes
