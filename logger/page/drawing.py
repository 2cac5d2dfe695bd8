"""A drawing of lines, areas and words in millimetres, y downward; knows neither paper nor screen."""

import math
from dataclasses import dataclass
from enum import StrEnum

Point = tuple[float, float]


class Ink(StrEnum):
    """What is drawn with: a role, which each kind of print has a tone for."""

    TEXT = "text"
    DIM = "dim"
    CURVE = "curve"
    BAND = "band"
    MEASURED = "measured"
    LIMIT = "limit"
    PAPER = "paper"


COLOUR = {
    Ink.TEXT: "#1a1a1a",
    Ink.DIM: "#7a7a7a",
    Ink.CURVE: "#0b3d66",
    Ink.BAND: "#a9c4da",
    Ink.MEASURED: "#0b3d66",
    Ink.LIMIT: "#9a4a00",
    Ink.PAPER: "#ffffff",
}
GREY = {
    Ink.TEXT: "#000000",
    Ink.DIM: "#6e6e6e",
    Ink.CURVE: "#000000",
    Ink.BAND: "#b4b4b4",
    Ink.MEASURED: "#3c3c3c",
    Ink.LIMIT: "#000000",
    Ink.PAPER: "#ffffff",
}


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points, or an area."""

    points: tuple[Point, ...]
    line: Ink | None = Ink.TEXT
    width: float = 0.2
    """mm."""
    area: Ink | None = None
    closed: bool = False
    dashes: tuple[float, ...] = ()
    """Lengths drawn and left out, mm."""


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text, its baseline at ``y``."""

    x: float
    y: float
    text: str
    size: float = 2.3
    """mm."""
    anchor: str = "start"
    """``start``, ``middle`` or ``end``."""
    ink: Ink = Ink.TEXT
    bold: bool = False


Shape = Path | Words


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing with what it shows in a sentence."""

    width: float
    height: float
    says: str
    shapes: tuple[Shape, ...]


def one_two_five(least: float) -> float:
    """Return the smallest of 1, 2 and 5 times a power of ten that is no smaller."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= least * (1.0 - 1e-9))


def box(
    x: float, y: float, wide: float, tall: float, line: Ink, width: float = 0.2, area: Ink | None = None
) -> Path:
    """Return an upright rectangle."""
    corners = ((x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall))
    return Path(corners, line, width, area, closed=True)


def hatching(
    x: float, y: float, width: float, height: float, ink: Ink, apart: float = 1.0
) -> tuple[Path, ...]:
    """Return the rising lines that hatch an upright rectangle."""
    lines = []
    at = apart
    while at < width + height:
        start = (x + max(0.0, at - height), y + min(at, height))
        end = (x + min(at, width), y + max(0.0, at - width))
        lines.append(Path((start, end), ink, 0.12))
        at += apart
    return tuple(lines)
