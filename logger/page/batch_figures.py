"""What a batch looks like: every part in its order with its interval, how many fall where, and labels."""

import math
from collections.abc import Sequence

from analysis.units import format_length
from logger.page.batch_row import BatchRow
from logger.page.content import INVENTED
from logger.page.drawing import Drawing, Ink, Path, Shape, Words, box
from logger.page.paper import Paper

_WIDE, _TALL, _LEFT = 186.0, 70.0, 16.0
_BINS = 20


def run_chart(rows: Sequence[BatchRow], unit: str) -> Drawing:
    """Return every part in its order: value, 95 % interval, and the limits they are held against."""
    with_numbers = [row for row in rows if not row.refused]
    top = max([row.tir_high_mm for row in with_numbers] + [row.limit_mm or 0.0 for row in rows]) * 1.05 or 1.0
    shapes: list[Shape] = [
        Words(0.0, 3.5, "Each part in its order, with its 95 % interval", 2.8, bold=True),
        box(_LEFT, 6.0, _WIDE - _LEFT, _TALL - 12.0, Ink.DIM, 0.15),
    ]

    def at(k: float, mm: float) -> tuple[float, float]:
        return (
            _LEFT + (_WIDE - _LEFT) * (k + 0.5) / len(rows),
            6.0 + (_TALL - 12.0) * (1.0 - mm / top),
        )

    for k, row in enumerate(rows):
        x, y = at(k, row.tir_mm)
        if row.limit_mm is not None:
            ends = at(k - 0.5, row.limit_mm), at(k + 0.5, row.limit_mm)
            shapes.append(Path(ends, Ink.LIMIT, 0.35))
        if row.refused:
            shapes.append(Words(x, _TALL - 6.6, "r", 2.1, "middle"))
            continue
        shapes.append(Path((at(k, row.tir_low_mm), at(k, row.tir_high_mm)), Ink.DIM, 0.2))
        size = 0.5
        shapes.append(box(x - size, y - size, 2 * size, 2 * size, Ink.CURVE, 0.15, Ink.CURVE))
    limits = {row.limit_mm for row in rows if row.limit_mm is not None}
    if len(limits) == 1:
        limit_mm = limits.pop()
        shapes.append(Words(_LEFT - 1.0, at(0, limit_mm)[1] + 0.8, format_length(limit_mm, unit), 2.1, "end"))
    shapes += [
        Words(_LEFT - 1.0, 8.0, format_length(top, unit), 2.1, "end"),
        Words(_LEFT - 1.0, _TALL - 6.0, "0", 2.1, "end"),
        Words(_LEFT, _TALL - 2.5, "part 1", 2.1),
        Words(_WIDE, _TALL - 2.5, f"part {len(rows)}", 2.1, "end"),
        Words(
            (_WIDE + _LEFT) / 2,
            _TALL - 2.5,
            "lines across: the entered limit of each part"
            + ("; r: refused by a check" if len(with_numbers) < len(rows) else ""),
            2.1,
            "middle",
        ),
    ]
    return Drawing(_WIDE, _TALL, "Every part in its order", tuple(shapes))


def tally(rows: Sequence[BatchRow], unit: str) -> Drawing:
    """Return how many parts fall into each of twenty even steps of the TIR."""
    tirs = [row.tir_mm for row in rows if not row.refused] or [0.0]
    low, high = min(tirs), max(tirs)
    step = (high - low) / _BINS or 1e-4
    counts = [0] * _BINS
    for tir_mm in tirs:
        counts[min(_BINS - 1, int((tir_mm - low) / step))] += 1
    most, tall = max(counts), 40.0
    wide = (_WIDE - _LEFT) / _BINS
    shapes: list[Shape] = [Words(0.0, 3.5, "How many fall where", 2.8, bold=True)]
    for k, count in enumerate(counts):
        height = (tall - 14.0) * count / most
        if count:
            x, y = _LEFT + k * wide, tall - 6.0 - height
            shapes.append(box(x + 0.4, y, wide - 0.8, height, Ink.TEXT, 0.15, Ink.BAND))
            shapes.append(Words(x + wide / 2, y - 0.8, str(count), 2.1, "middle"))
    shapes += [
        Path(((_LEFT, tall - 6.0), (_WIDE, tall - 6.0)), Ink.TEXT, 0.2),
        Words(_LEFT, tall - 2.5, format_length(low, unit), 2.1),
        Words(_WIDE, tall - 2.5, format_length(high, unit), 2.1, "end"),
    ]
    return Drawing(_WIDE, tall, "How many parts fall where", tuple(shapes))


def labels(
    lines: Sequence[Sequence[str]], grid: tuple[int, int], paper: Paper, *, practice: bool
) -> tuple[Drawing, ...]:
    """Return sheets of labels, so many across and down; each says that it is invented where it is."""
    across, down = grid
    wide, tall = _WIDE / across, (paper.height_mm - 26.0) / down
    sheets = []
    size = min(2.9, tall / 8.0, wide / 22.0)
    for first in range(0, len(lines), across * down):
        shapes: list[Shape] = []
        for k, texts in enumerate(lines[first : first + across * down]):
            x, y = k % across * wide, k // across * tall
            shapes.append(box(x, y, wide, tall, Ink.DIM, 0.1))
            more = [*texts, *([INVENTED] if practice else [])]
            letters = math.floor((wide - 3.0) / (size * 0.52))
            for number, text in enumerate(more):
                bold = number == 0 or text == INVENTED
                shapes.append(
                    Words(x + 1.5, y + 1.0 + (number + 1) * size * 1.25, text[:letters], size, bold=bold)
                )
        sheets.append(Drawing(_WIDE, paper.height_mm - 26.0, "Labels", tuple(shapes)))
    return tuple(sheets)
