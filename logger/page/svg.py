"""A drawing as SVG, inside a page of HTML or as a file of its own; text stays text."""

from collections.abc import Mapping
from xml.sax.saxutils import escape, quoteattr

from logger.page.drawing import Drawing, Ink, Path, Shape, Words

FAMILY = "DejaVu Sans Condensed, Arial Narrow, Arial, Liberation Sans, sans-serif"


def svg_file(drawing: Drawing, inks: Mapping[Ink, str]) -> str:
    """Return the drawing as a file of its own, on paper."""
    w, h, body = _inside(drawing, inks)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" '
        f'font-family="{FAMILY}"><title>{escape(drawing.says)}</title>'
        f'<rect width="{w}" height="{h}" fill="{inks[Ink.PAPER]}"/>{body}</svg>\n'
    )


def svg(drawing: Drawing, inks: Mapping[Ink, str]) -> str:
    """Return the drawing as one SVG element, in millimetres, every text escaped."""
    w, h, body = _inside(drawing, inks)
    return (
        f'<svg role="img" viewBox="0 0 {w} {h}" style="width:{w}mm;height:{h}mm" '
        f"aria-label={quoteattr(drawing.says)}>{body}</svg>"
    )


def _inside(drawing: Drawing, inks: Mapping[Ink, str]) -> tuple[str, str, str]:
    """Return width and height in millimetres, and every shape."""
    body = "".join(_shape(shape, inks) for shape in drawing.shapes)
    return _number(drawing.width), _number(drawing.height), body


def _shape(shape: Shape, inks: Mapping[Ink, str]) -> str:
    match shape:
        case Words():
            weight = ' font-weight="bold"' if shape.bold else ""
            return (
                f'<text x="{_number(shape.x)}" y="{_number(shape.y)}" font-size="{_number(shape.size)}" '
                f'text-anchor="{shape.anchor}" fill="{inks[shape.ink]}"{weight}>{escape(shape.text)}</text>'
            )
        case Path():
            places = " ".join(f"{_number(x)},{_number(y)}" for x, y in shape.points)
            element = "polygon" if shape.closed else "polyline"
            line = inks[shape.line] if shape.line else "none"
            dashes = f' stroke-dasharray="{" ".join(map(_number, shape.dashes))}"' if shape.dashes else ""
            return (
                f'<{element} points="{places}" fill="{inks[shape.area] if shape.area else "none"}" '
                f'stroke="{line}" stroke-width="{_number(shape.width)}"{dashes}/>'
            )


def _number(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
