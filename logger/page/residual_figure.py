"""How far readings lie from the curve over the time of a sweep: what drifts or jumps is seen here first."""

import numpy as np

from analysis.sweep import residuals_in_time
from logger.inputs import AnalysedSweep
from logger.page.drawing import Drawing, Ink, Path, Shape, Words, box, one_two_five

WIDTH, HEIGHT = 186.0, 27.0
_LEFT, _TOP, _WIDE, _TALL = 20.0, 2.0, 164.0, 19.0
_COLUMNS = 328
"""Of half a millimetre: in each the lowest and the highest reading are drawn."""


def residual_figure(title: str, one: AnalysedSweep) -> Drawing:
    """Return readings less curve against time, as a band from the lowest to the highest of each moment."""
    t_s, off_mm = residuals_in_time(one.capture, one.result)
    lasted = float(t_s[-1]) or 1.0
    deepest = float(np.abs(off_mm).max()) or 1e-6
    full = one_two_five(deepest)

    def y(mm: float) -> float:
        return _TOP + _TALL * (0.5 - mm / (2.0 * full))

    shapes: list[Shape] = [box(_LEFT, _TOP, _WIDE, _TALL, line=Ink.DIM, width=0.15)]
    shapes.append(Path(((_LEFT, y(0.0)), (_LEFT + _WIDE, y(0.0))), Ink.DIM, 0.12, dashes=(0.8, 0.6)))
    column = np.minimum((t_s / lasted * _COLUMNS).astype(np.int64), _COLUMNS - 1)
    for at in np.unique(column):
        here = off_mm[column == at]
        x = _LEFT + _WIDE * (float(at) + 0.5) / _COLUMNS
        # A reading by itself has no height, and would not be seen.
        low, high = y(float(here.min())) + 0.15, y(float(here.max())) - 0.15
        shapes.append(Path(((x, low), (x, high)), Ink.CURVE, 0.35))
    for mm, words in ((full, f"+{full:g} mm"), (0.0, "curve"), (-full, f"-{full:g} mm")):
        shapes.append(Words(_LEFT - 1.5, y(mm) + (1.6 if mm > 0.0 else 0.7), words, 2.1, "end"))
    foot = _TOP + _TALL + 3.2
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        words = f"{share * lasted:.3g} s"
        anchor = "start" if share == 0.0 else "end" if share == 1.0 else "middle"
        shapes.append(Words(_LEFT + _WIDE * share, foot, words, 2.1, anchor, Ink.DIM))
    return Drawing(WIDTH, HEIGHT, f"{title}: readings less curve against time", tuple(shapes))
