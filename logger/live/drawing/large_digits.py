"""Our own large digits, drawn by hand, ten points high and six wide, shown five rows high (or ten on a wall).

Readable at three metres at an ordinary letter size. ``#`` is a lit point.
"""

_DRAWN = {
    "0": ".####. ###### ##..## ##..## ##..## ##..## ##..## ##..## ###### .####.",
    "1": "..##.. .###.. ####.. ..##.. ..##.. ..##.. ..##.. ..##.. ###### ######",
    "2": ".####. ###### ##..## ....## ...### ..###. .###.. ###... ###### ######",
    "3": ".####. ###### ##..## ....## ..###. ..#### ....## ##..## ###### .####.",
    "4": "...### ..#### .##.## ##..## ##..## ###### ###### ....## ....## ....##",
    "5": "###### ###### ##.... #####. ###### ....## ....## ##..## ###### .####.",
    "6": "..###. .####. ###... ##.... #####. ###### ##..## ##..## ###### .####.",
    "7": "###### ###### ....## ...### ...##. ..###. ..##.. .###.. .##... .##...",
    "8": ".####. ###### ##..## ##..## .####. ###### ##..## ##..## ###### .####.",
    "9": ".####. ###### ##..## ##..## ###### .##### ....## ...### .####. .###..",
    "-": "...... ...... ...... ...... ###### ###### ...... ...... ...... ......",
    "+": "...... ...... ..##.. ..##.. ###### ###### ..##.. ..##.. ...... ......",
    ".": ".. .. .. .. .. .. .. .. ## ##",
    " ": "...... ...... ...... ...... ...... ...... ...... ...... ...... ......",
    "T": "###### ###### ..##.. ..##.. ..##.. ..##.. ..##.. ..##.. ..##.. ..##..",
    "I": "#### #### .##. .##. .##. .##. .##. .##. #### ####",
    "H": "##..## ##..## ##..## ##..## ###### ###### ##..## ##..## ##..## ##..##",
    "E": "###### ###### ##.... ##.... #####. #####. ##.... ##.... ###### ######",
    "O": ".####. ###### ##..## ##..## ##..## ##..## ##..## ##..## ###### .####.",
    "V": "##..## ##..## ##..## ##..## ##..## ##..## ##..## .####. .####. ..##..",
    "W": "##....## ##....## ##....## ##....## ##.##.## ##.##.## ##.##.## ######## ###..### ##....##",
    "N": "##..## ##..## ###.## ###.## ###### ###### ##.### ##.### ##..## ##..##",
    "D": "#####. ###### ##..## ##..## ##..## ##..## ##..## ##..## ###### #####.",
    "C": ".####. ###### ##..## ##.... ##.... ##.... ##.... ##..## ###### .####.",
    "G": ".####. ###### ##..## ##.... ##.### ##.### ##..## ##..## ###### .####.",
    "R": "#####. ###### ##..## ##..## ###### #####. ##.##. ##.##. ##..## ##..##",
}
POINTS_HIGH = 10
_HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def _points(text: str) -> list[str]:
    glyphs = [_DRAWN.get(character, _DRAWN[" "]).split() for character in text]
    return ["..".join(glyph[y] for glyph in glyphs) for y in range(POINTS_HIGH)]


def width_of(text: str, *, large: bool = False) -> int:
    """Return how many cells wide a text becomes."""
    return len(_points(text)[0]) * (2 if large else 1) if text else 0


def big(text: str, *, ascii_only: bool = False, large: bool = False) -> list[str]:
    """Return the text in large letters: five rows, ten where ``large``; unknown letters stay blank."""
    points = _points(text)
    if large:
        block = "#" if ascii_only else "█"
        return ["".join((block if point == "#" else " ") * 2 for point in line) for line in points]
    rows = []
    for upper, lower in zip(points[::2], points[1::2], strict=True):
        if ascii_only:
            pairs = zip(upper, lower, strict=True)
            rows.append("".join("#" if "#" in pair else " " for pair in pairs))
        else:
            rows.append("".join(_HALVES[a == "#", b == "#"] for a, b in zip(upper, lower, strict=True)))
    return rows
