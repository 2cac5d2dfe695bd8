"""What every file of PDF here is put together from: text, tables, drawings, what stands on each sheet.

Fonts are embedded, so that it looks the same everywhere; what they have no character for is an empty square.
The only importer of reportlab.
"""

import io
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import as_file, files
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from logger.page import content, drawing, numbers_table
from logger.page.content import Chapter
from logger.page.drawing import COLOUR, GREY, Ink
from logger.page.html_page import INVENTED_TONE
from logger.page.paper import Paper
from logger.page.shown import unbroken

PLAIN, BOLD = "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"
MARGIN_MM, _FOOT_MM = 12.0, 11.0
_NO_CHARACTER = "□"
_LEADING = 1.22
_HEADED_MM = 22.0
"""A heading, a sentence, and the head and first rows of a table."""


@lru_cache(maxsize=1)
def load_fonts() -> frozenset[int]:
    """Register the fonts; return the characters they have."""
    folder = files("logger.page") / "fonts"
    for name in (PLAIN, BOLD):
        with as_file(folder / f"{name}.ttf") as path:
            pdfmetrics.registerFont(TTFont(name, str(path)))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
    return frozenset(pdfmetrics.getFont(PLAIN).face.charToGlyph)  # type: ignore[attr-defined]


def _printable(text: str) -> str:
    there = load_fonts()
    return "".join(letter if ord(letter) in there else _NO_CHARACTER for letter in text)


def _counted(foot: Callable[[Canvas, int, int], None]) -> Any:
    """Return a canvas that knows, when it is saved, how many pages there are, and writes so on each."""

    class Counted(Canvas):
        pages = 0

        def __init__(self, *given: Any, **named: Any) -> None:
            super().__init__(*given, **{"initialFontName": PLAIN, **named})
            self._held: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802  as the library calls it
            self._held.append(dict(self.__dict__))
            self._startPage()  # type: ignore[attr-defined]

        def save(self) -> None:
            Counted.pages = len(self._held)
            for number, state in enumerate(self._held, 1):
                self.__dict__.update(state)
                foot(self, number, Counted.pages)
                super().showPage()
            super().save()

    return Counted


class Picture(Flowable):
    """A drawing among the text."""

    def __init__(self, shapes: drawing.Drawing, inks: Mapping[Ink, str]) -> None:
        super().__init__()
        self.shapes, self.inks = shapes, inks
        self.width, self.height = shapes.width * mm, shapes.height * mm

    def wrap(self, _wide: float, _tall: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        for shape in self.shapes.shapes:
            if isinstance(shape, drawing.Words):
                self._words(shape)
            else:
                self._path(shape)

    def _place(self, point: drawing.Point) -> tuple[float, float]:
        return point[0] * mm, self.height - point[1] * mm

    def _words(self, words: drawing.Words) -> None:
        canvas = self.canv
        canvas.setFont(BOLD if words.bold else PLAIN, words.size * mm)
        canvas.setFillColor(HexColor(self.inks[words.ink]))
        write = {"middle": canvas.drawCentredString, "end": canvas.drawRightString}
        write.get(words.anchor, canvas.drawString)(*self._place((words.x, words.y)), _printable(words.text))

    def _path(self, path: drawing.Path) -> None:
        canvas = self.canv
        line = canvas.beginPath()
        line.moveTo(*self._place(path.points[0]))
        for point in path.points[1:]:
            line.lineTo(*self._place(point))
        if path.closed:
            line.close()
        if path.line:
            canvas.setStrokeColor(HexColor(self.inks[path.line]))
            canvas.setLineWidth(path.width * mm)
        if path.area:
            canvas.setFillColor(HexColor(self.inks[path.area]))
        canvas.setDash([length * mm for length in path.dashes])
        canvas.drawPath(line, stroke=int(path.line is not None), fill=int(path.area is not None))
        canvas.setDash([])


@dataclass(frozen=True)
class Sheets:
    """Sheets of one paper, and what stands on each of them."""

    title: str
    number: str
    practice: bool
    paper: Paper
    grey: bool
    size: float
    """Of the text, in points."""

    @property
    def inks(self) -> Mapping[Ink, str]:
        """Tones of the print."""
        return GREY if self.grey else COLOUR

    @property
    def wide(self) -> float:
        """Width between the margins, mm."""
        return self.paper.width_mm - 2 * MARGIN_MM

    @property
    def tall(self) -> float:
        """Height between the margins, mm."""
        return self.paper.height_mm - MARGIN_MM - _FOOT_MM

    def build(self, story: list[Any]) -> tuple[bytes, int]:
        """Return the file and how many sheets it has."""
        out = io.BytesIO()
        document = BaseDocTemplate(
            out,
            pagesize=(self.paper.width_mm * mm, self.paper.height_mm * mm),
            invariant=1,
            title=self.title,
            author="",
            subject="",
            creator="fullturn",
            pageCompression=1,
        )
        frame = Frame(
            MARGIN_MM * mm,
            _FOOT_MM * mm,
            self.wide * mm,
            self.tall * mm,
            leftPadding=0,
            rightPadding=0,
            topPadding=0,
            bottomPadding=0,
        )
        document.addPageTemplates(PageTemplate(frames=[frame], onPage=self.behind))
        counted = _counted(self.foot)
        document.build(story, canvasmaker=counted)
        return out.getvalue(), counted.pages

    def text(
        self, words: str, *, bold: bool = False, size: float = 0.0, white: bool = False, right: bool = False
    ) -> Paragraph:
        """Return a paragraph of plain text: what stands in it is never read as markup."""
        points = size or self.size
        style = ParagraphStyle(
            "text",
            fontName=BOLD if bold else PLAIN,
            fontSize=points,
            leading=_LEADING * points,
            textColor=HexColor("#ffffff" if white else self.inks[Ink.TEXT]),
            alignment=1 if white else 2 if right else 0,
            splitLongWords=1,
        )
        return Paragraph(escape(unbroken(_printable(words))), style)

    def chapters(self, chapters: Sequence[Chapter]) -> list[Any]:
        """Return chapters one after the other, each on a sheet of its own that asks for it."""
        story: list[Any] = []
        for chapter in chapters:
            if chapter.new_sheet:
                story.append(PageBreak())
            # A heading stands on the sheet of what it heads.
            needed = _HEADED_MM + math.fsum(drawing.height for drawing in chapter.drawings)
            story.append(CondPageBreak(min(needed, self.tall) * mm))
            story.append(self.text(chapter.heading, bold=True, size=9))
            story += [self.text(sentence) for sentence in chapter.sentences]
            story += [Picture(one, self.inks) for one in chapter.drawings]
            if chapter.table is not None:
                story.append(self.numbers(chapter.table))
            story.append(Spacer(1, 2.0 * mm))
        return story

    def strip(self) -> list[Any]:
        """Return what stands above everything where no part was measured."""
        if not self.practice:
            return []
        strip = self.table([[self.text(content.INVENTED_SENTENCE, bold=True, white=True)]], [self.wide])
        strip.setStyle(TableStyle([("BACKGROUND", (0, 0), (-1, -1), HexColor(self.inks[Ink.TEXT]))]))
        return [strip]

    def numbers(self, table: numbers_table.TextTable) -> Table:
        """Return a table with its rules; its head stands on every page again."""
        wide = self.wide
        rows = [[self.text(cell, bold=True) for cell in table.head]]
        rows += [[self.text(cell, bold=column == 0) for column, cell in enumerate(row)] for row in table.rows]
        first = min(46.0, wide / len(table.head))
        others = (wide - first) / max(1, len(table.head) - 1)
        widths = table.widths_mm or (first, *[others] * (len(table.head) - 1))
        made = self.table(rows, widths, repeat=1)
        thin = (0.1 * mm, HexColor(self.inks[Ink.DIM]))
        made.setStyle(TableStyle([("LINEBELOW", (0, 0), (-1, -1), *thin)]))
        return made

    def table(
        self,
        rows: Sequence[list[Any]],
        widths: Sequence[float],
        *,
        above: float = 0.0,
        below: float = 0.0,
        repeat: int = 0,
    ) -> Table:
        """Return a table without rules of its own; widths, and lines above and below, in mm."""
        made = Table(rows, colWidths=[width * mm for width in widths], repeatRows=repeat, hAlign="LEFT")
        style: list[Any] = [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 1.5 * mm),
            ("TOPPADDING", (0, 0), (-1, -1), 0.15 * mm),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0.35 * mm),
        ]
        ink = HexColor(self.inks[Ink.TEXT])
        style += [("LINEABOVE", (0, 0), (-1, 0), above * mm, ink)] if above else []
        style += [("LINEBELOW", (0, -1), (-1, -1), below * mm, ink)] if below else []
        made.setStyle(TableStyle(style))
        return made

    def behind(self, canvas: Canvas, _document: Any) -> None:
        """Write across the paper, under everything, where no part was measured."""
        if not self.practice:
            return
        canvas.saveState()
        canvas.translate(self.paper.width_mm / 2 * mm, self.paper.height_mm / 2 * mm)
        canvas.rotate(38)
        canvas.setFont(BOLD, 44)
        canvas.setFillColor(HexColor(INVENTED_TONE[self.grey]))
        canvas.drawCentredString(0, 0, content.INVENTED)
        canvas.restoreState()

    def foot(self, canvas: Canvas, number: int, pages: int) -> None:
        """Write number and page at the foot."""
        canvas.setFont(PLAIN, 6.5)
        canvas.setFillColor(HexColor(self.inks[Ink.TEXT]))
        canvas.drawRightString(
            (self.paper.width_mm - MARGIN_MM) * mm,
            (_FOOT_MM - 4.0) * mm,
            f"No. {self.number}, page {number} of {pages}",
        )
