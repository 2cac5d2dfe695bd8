"""A page as PDF, of the content and the drawings of the page of HTML; the only importer of reportlab.

Fonts are embedded, so that it looks the same everywhere; what they have no character for is an empty square.
"""

import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
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
    Flowable,
    Frame,
    KeepInFrame,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from logger.page import content, drawing, numbers_table
from logger.page.content import Content
from logger.page.drawing import COLOUR, GREY, Ink
from logger.page.html_page import INVENTED_TONE, text_size_of
from logger.page.paper import Paper

PLAIN, BOLD = "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"
_MARGIN_MM, _FOOT_MM = 12.0, 11.0
_NO_CHARACTER = "□"
_LEADING = 1.22


def pdf_page(page: Content, paper: Paper, *, grey: bool) -> tuple[bytes, int]:
    """Return the file and how many pages it has; the same content gives the same bytes."""
    _load_fonts()
    print_of = _Print(page, paper, GREY if grey else COLOUR, grey)
    out = io.BytesIO()
    document = BaseDocTemplate(
        out,
        pagesize=(paper.width_mm * mm, paper.height_mm * mm),
        invariant=1,
        title=f"{content.TITLE}, {page.part}, No. {page.number}",
        author="",
        subject="",
        creator="fullturn",
        pageCompression=1,
    )
    wide, tall = paper.width_mm - 2 * _MARGIN_MM, paper.height_mm - _MARGIN_MM - _FOOT_MM
    frame = Frame(
        _MARGIN_MM * mm,
        _FOOT_MM * mm,
        wide * mm,
        tall * mm,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    document.addPageTemplates(PageTemplate(frames=[frame], onPage=print_of.behind))
    first = KeepInFrame(wide * mm, tall * mm - 1, print_of.first_page(wide), mode="shrink")
    story = [first, *print_of.annex(wide)]
    counted = _counted(print_of.foot)
    document.build(story, canvasmaker=counted)
    return out.getvalue(), counted.pages


def pdf_drawing(shapes: drawing.Drawing, paper: Paper, title: str, *, grey: bool) -> bytes:
    """Return a page that holds one drawing."""
    _load_fonts()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(paper.width_mm * mm, paper.height_mm * mm), invariant=1)
    canvas.setFont(PLAIN, 8)
    canvas.setTitle(title)
    canvas.setCreator("fullturn")
    picture = _Picture(shapes, GREY if grey else COLOUR)
    left = (paper.width_mm * mm - picture.width) / 2
    picture.drawOn(canvas, left, (paper.height_mm - _MARGIN_MM) * mm - picture.height)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


@lru_cache(maxsize=1)
def _load_fonts() -> frozenset[int]:
    """Register the fonts; return the characters they have."""
    folder = files("logger.page") / "fonts"
    for name in (PLAIN, BOLD):
        with as_file(folder / f"{name}.ttf") as path:
            pdfmetrics.registerFont(TTFont(name, str(path)))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
    return frozenset(pdfmetrics.getFont(PLAIN).face.charToGlyph)  # type: ignore[attr-defined]


def _printable(text: str) -> str:
    there = _load_fonts()
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


class _Picture(Flowable):
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
class _Print:
    """One content on one paper."""

    page: Content
    paper: Paper
    inks: Mapping[Ink, str]
    grey: bool

    @cached_property
    def size(self) -> float:
        """Of the text, in points, as on the page of HTML."""
        return text_size_of(self.page, self.paper)

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
        return Paragraph(escape(_printable(words)), style)

    def first_page(self, wide: float) -> list[Any]:
        """Return the one page."""
        page, size = self.page, self.size
        story: list[Any] = []
        if page.practice:
            strip = self._table([[self.text(content.INVENTED_SENTENCE, bold=True, white=True)]], [wide])
            strip.setStyle(TableStyle([("BACKGROUND", (0, 0), (-1, -1), HexColor(self.inks[Ink.TEXT]))]))
            story.append(strip)
        head = [
            self.text(content.TITLE, bold=True, size=12),
            self.text(f"Laboratory: {page.laboratory.words}"),
            self.text(f"No. {page.number}", right=True),
        ]
        title = self._table([head], [80.0, wide - 110.0, 30.0], below=0.5)
        title.setStyle(
            TableStyle([("VALIGN", (0, 0), (-1, -1), "MIDDLE"), ("RIGHTPADDING", (2, 0), (2, 0), 0)])
        )
        story.append(title)
        if page.amends:
            story.append(self.text(page.amends, bold=True))
        story.append(Spacer(1, 0.8 * mm))
        for number, line in enumerate(page.answers):
            story.append(self.text(line.text, bold=line.strong, size=10 if number == 0 else size))
        half = (wide - 4.0) / 2
        columns = [
            self._table(
                [[self.text(one.heading, bold=True), self.text(one.words)] for one in column],
                [17.0, half - 17.0],
            )
            for column in (page.left, page.right)
        ]
        story += [Spacer(1, 0.8 * mm), self._table([columns], [half + 4.0, half], above=0.2, below=0.2)]
        story += [Spacer(1, 1 * mm), *(_Picture(one, self.inks) for one in page.drawings)]
        story += [self.text(page.caption), Spacer(1, 0.8 * mm), self.numbers(page.table, wide)]
        story.append(Spacer(1, 0.8 * mm))
        story.append(
            self._table(
                [[self.text(one.heading, bold=True), self.text(one.text)] for one in page.paragraphs],
                [19.0, wide - 19.0],
            )
        )
        story += [self.text(page.closing[0]), Spacer(1, 4.0 * mm), self.text(page.closing[1])]
        story.append(self.text(f"{' '.join(page.provenance)} - {content.END} -", size=size - 0.9))
        return story

    def annex(self, wide: float) -> list[Any]:
        """Return the pages after the first."""
        if not self.page.annex:
            return []
        story: list[Any] = [PageBreak()]
        for chapter in self.page.annex:
            story.append(self.text(chapter.heading, bold=True, size=9))
            story += [self.text(sentence) for sentence in chapter.sentences]
            if chapter.table is not None:
                story.append(self.numbers(chapter.table, wide))
            story.append(Spacer(1, 2.0 * mm))
        return story

    def numbers(self, table: numbers_table.TextTable, wide: float) -> Table:
        """Return a table with its rules; its head stands on every page again."""
        rows = [[self.text(cell, bold=True) for cell in table.head]]
        rows += [[self.text(cell, bold=column == 0) for column, cell in enumerate(row)] for row in table.rows]
        first = min(46.0, wide / len(table.head))
        others = (wide - first) / max(1, len(table.head) - 1)
        made = self._table(rows, [first, *[others] * (len(table.head) - 1)], repeat=1)
        thin = (0.1 * mm, HexColor(self.inks[Ink.DIM]))
        made.setStyle(TableStyle([("LINEBELOW", (0, 0), (-1, -1), *thin)]))
        return made

    def _table(
        self,
        rows: Sequence[list[Any]],
        widths: Sequence[float],
        *,
        above: float = 0.0,
        below: float = 0.0,
        repeat: int = 0,
    ) -> Table:
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
        if not self.page.practice:
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
            (self.paper.width_mm - _MARGIN_MM) * mm,
            (_FOOT_MM - 4.0) * mm,
            f"No. {self.page.number}, page {number} of {pages}",
        )
