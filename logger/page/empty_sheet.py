"""An empty sheet for readings written down with a pencil at so many places round the part."""

import math
from dataclasses import dataclass

from analysis.setup import Setup
from analysis.sweep import analyse
from analysis.units import format_length
from logger.inputs import typed_capture
from logger.page.content import NO_CERTIFICATE
from logger.page.drawing import Drawing, Ink, Path, Point, Shape, Words, box
from logger.page.paper import Paper
from logger.page.shown import shown
from logger.reports.angle_direction import angle_direction

PLACES = (8, 12, 24)
TITLE = "READINGS ROUND A PART"
_WIDE = 186.0
_EXAMPLE_STEP_MM = 0.01


@dataclass(frozen=True, slots=True)
class Example:
    """Readings as a person types them, and what the program says of them; invented."""

    typed: str
    tir: str


def example_of(places: int) -> Example:
    """Return an example with so many places: a wobble and a little oval, rounded as a dial is read."""
    words = []
    for place in range(places):
        turn = 2.0 * math.pi * place / places
        height = 0.043 * math.cos(turn - 1.0) + 0.012 * math.cos(2.0 * turn)
        steps = round(height / _EXAMPLE_STEP_MM)
        words.append(f"{360 * place / places:g}:{steps * _EXAMPLE_STEP_MM:+.2f}")
    typed = f"{' '.join(words)} mm"
    result = analyse(typed_capture(typed, {}))
    return Example(typed, format_length(result.pooled.tir_raw_mm, "mm", 2))


def empty_sheet(places: int, paper: Paper, part: str = "", limit: str = "") -> Drawing:
    """Return the sheet: what it is of, a row a place, a circle and a strip to draw in, and an example."""
    tall = paper.height_mm - 26.0
    shapes: list[Shape] = [
        Words(0.0, 5.0, TITLE, 4.6, bold=True),
        Words(_WIDE, 5.0, f"{places} places", 3.4, "end"),
        Path(((0.0, 7.0), (_WIDE, 7.0)), Ink.TEXT, 0.5),
        *_head(part, limit),
    ]
    top = 36.0
    rows_tall = min(7.0, (tall - top - 42.0) / (places + 2))
    shapes += _rows(places, top, rows_tall)
    shapes += _circle(places, (148.0, top + 34.0))
    shapes += _strip(top + 76.0, min(52.0, tall - top - 76.0 - 44.0))
    shapes += _foot(places, tall)
    return Drawing(_WIDE, tall, f"Empty sheet for readings at {places} places", tuple(shapes))


def _head(part: str, limit: str) -> list[Shape]:
    shapes: list[Shape] = []
    fields = (
        (("Part", shown(part, 40)), ("Job", ""), ("Date", "")),
        (("Limit as written", shown(limit, 24)), ("where it is written", ""), ("Measured by", "")),
        (("Surface, track radius", ""), ("Indicator, its step", ""), ("Unit", "")),
    )
    for line, row in enumerate(fields):
        y = 14.5 + 7.5 * line
        for column, (name, entered) in enumerate(row):
            x = column * _WIDE / 3
            shapes.append(Words(x, y, f"{name}:", 2.8, bold=True))
            start = x + 2.0 + 1.6 * len(name)
            shapes.append(Words(start + 1.0, y, entered, 2.8))
            shapes.append(Path(((start, y + 1.0), (x + _WIDE / 3 - 4.0, y + 1.0)), Ink.DIM, 0.15))
    return shapes


def _rows(places: int, top: float, tall: float) -> list[Shape]:
    """Return the table to write in: the place, its angle, a first and a second turn."""
    widths, heads = (16.0, 20.0, 30.0, 30.0), ("place", "degrees", "1st turn", "2nd turn")
    shapes: list[Shape] = []
    size = min(3.0, tall - 1.2)
    names = [*(str(place + 1) for place in range(places)), "1 again"]
    for row in range(places + 2):
        x, y = 0.0, top + row * tall
        place = row - 1
        for wide, words in zip(
            widths, heads if row == 0 else (names[place], f"{360 * place / places:g}", "", ""), strict=True
        ):
            shapes.append(box(x, y, wide, tall, Ink.DIM, 0.15))
            shapes.append(Words(x + wide / 2, y + tall / 2 + size / 3, words, size, "middle", bold=row == 0))
            x += wide
    return shapes


def _circle(places: int, centre: Point) -> list[Shape]:
    radius = 26.0
    ring = tuple(
        (centre[0] + radius * math.cos(k * math.pi / 60), centre[1] + radius * math.sin(k * math.pi / 60))
        for k in range(120)
    )
    shapes: list[Shape] = [Path(ring, Ink.TEXT, 0.2, closed=True)]
    for place in range(places):
        turn = -2.0 * math.pi * place / places
        along = math.sin(turn), -math.cos(turn)
        inner, outer = (
            tuple(c + r * a for c, a in zip(centre, along, strict=True)) for r in (radius - 1.5, radius + 1.5)
        )
        shapes.append(Path((inner, outer), Ink.TEXT, 0.2))  # type: ignore[arg-type]
        x, y = (c + (radius + 4.2) * a for c, a in zip(centre, along, strict=True))
        shapes.append(Words(x, y + 1.0, str(place + 1), 2.6, "middle"))
    shapes.append(Words(centre[0], centre[1] - 1.0, "place 1 at the mark,", 2.6, "middle", Ink.DIM))
    shapes.append(Words(centre[0], centre[1] + 2.6, "seen from the indicator", 2.6, "middle", Ink.DIM))
    return shapes


def _strip(top: float, tall: float) -> list[Shape]:
    """Return a grid to draw the readings in, unrolled."""
    left, wide = 104.0, 78.0
    shapes: list[Shape] = [box(left, top, wide, tall, Ink.TEXT, 0.2)]
    for k in range(1, 24):
        x = left + wide * k / 24
        shapes.append(Path(((x, top), (x, top + tall)), Ink.DIM, 0.25 if k % 6 == 0 else 0.08))
    lines = int(tall // 4)
    for k in range(1, lines):
        y = top + tall * k / lines
        shapes.append(Path(((left, y), (left + wide, y)), Ink.DIM, 0.08))
    for deg in range(0, 361, 90):
        shapes.append(Words(left + wide * deg / 360, top + tall + 3.2, str(deg), 2.3, "middle"))
    return shapes


def _foot(places: int, tall: float) -> list[Shape]:
    example = example_of(places)
    typed = example.typed.split(" ")
    half = len(typed) // 2 if len(example.typed) > 100 else len(typed)
    command = [f'fullturn sweep --typed "{" ".join(typed[:half])}' + ('"' if half == len(typed) else "")]
    if half < len(typed):
        command.append(f'{" ".join(typed[half:])}"')
    lines = [
        "Turn by hand, drive locked out; stop at each place, read, write; read place 1 again.",
        angle_direction(Setup()),
        "Example (invented), as it is typed:",
        *command,
        f"prints TIR {example.tir}. Add --limit with the limit as the manual writes it.",
        NO_CERTIFICATE,
    ]
    start = tall - 3.8 * len(lines)
    return [Words(0.0, start + 3.8 * k, line, 2.6) for k, line in enumerate(lines)]
