"""A page as PDF, of the content and the drawings of the page of HTML."""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import KeepInFrame, PageBreak, Spacer, TableStyle

from logger.page import content, drawing
from logger.page.content import Chapter, Content
from logger.page.drawing import COLOUR, GREY
from logger.page.html_page import text_size_of
from logger.page.paper import Paper
from logger.page.pdf_parts import MARGIN_MM, PLAIN, Picture, Sheets, load_fonts

BATCH_POINTS = 6.6


def pdf_page(page: Content, paper: Paper, *, grey: bool) -> tuple[bytes, int]:
    """Return the file and how many pages it has; the same content gives the same bytes."""
    load_fonts()
    title = f"{content.TITLE}, {page.part}, No. {page.number}"
    sheets = Sheets(title, page.number, page.practice, paper, grey, text_size_of(page, paper))
    story = _Page(page, sheets).story()
    first = KeepInFrame(sheets.wide * mm, sheets.tall * mm - 1, story, mode="shrink")
    end = sheets.text(f"- {content.END} -")
    annex = [PageBreak(), *sheets.chapters(page.annex), end] if page.annex else []
    return sheets.build([first, *annex])


def pdf_chapters(
    title: str, number: str, chapters: Sequence[Chapter], paper: Paper, *, practice: bool, grey: bool
) -> tuple[bytes, int]:
    """Return a file of chapters one after the other, and how many pages it has."""
    load_fonts()
    sheets = Sheets(f"{title}, No. {number}", number, practice, paper, grey, BATCH_POINTS)
    head = sheets.table([[sheets.text(title, bold=True, size=12)]], [sheets.wide], below=0.5)
    return sheets.build([*sheets.strip(), head, *sheets.chapters(chapters)])


def pdf_drawings(drawings: Sequence[drawing.Drawing], paper: Paper, title: str, *, grey: bool) -> bytes:
    """Return a page a drawing."""
    load_fonts()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(paper.width_mm * mm, paper.height_mm * mm), invariant=1)
    canvas.setTitle(title)
    canvas.setCreator("fullturn")
    for shapes in drawings:
        canvas.setFont(PLAIN, 8)
        picture = Picture(shapes, GREY if grey else COLOUR)
        left = (paper.width_mm * mm - picture.width) / 2
        picture.drawOn(canvas, left, (paper.height_mm - MARGIN_MM) * mm - picture.height)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


@dataclass(frozen=True)
class _Page:
    """One content on its sheets."""

    page: Content
    sheets: Sheets

    def story(self) -> list[Any]:
        """Return the one page."""
        page, sheets = self.page, self.sheets
        size, wide = sheets.size, sheets.wide
        story: list[Any] = sheets.strip()
        head = [
            sheets.text(content.TITLE, bold=True, size=12),
            sheets.text(f"Laboratory: {page.laboratory.words}"),
            sheets.text(f"No. {page.number}", right=True),
        ]
        title = sheets.table([head], [80.0, wide - 110.0, 30.0], below=0.5)
        title.setStyle(
            TableStyle([("VALIGN", (0, 0), (-1, -1), "MIDDLE"), ("RIGHTPADDING", (2, 0), (2, 0), 0)])
        )
        story.append(title)
        if page.amends:
            story.append(sheets.text(page.amends, bold=True))
        story.append(Spacer(1, 0.8 * mm))
        for number, line in enumerate(page.answers):
            story.append(sheets.text(line.text, bold=line.strong, size=10 if number == 0 else size))
        half = (wide - 4.0) / 2
        columns = [
            sheets.table(
                [[sheets.text(one.heading, bold=True), sheets.text(one.words)] for one in column],
                [17.0, half - 17.0],
            )
            for column in (page.left, page.right)
        ]
        story += [Spacer(1, 0.8 * mm), sheets.table([columns], [half + 4.0, half], above=0.2, below=0.2)]
        story += [Spacer(1, 1 * mm), *(Picture(one, sheets.inks) for one in page.drawings)]
        story += [sheets.text(page.caption), Spacer(1, 0.8 * mm), sheets.numbers(page.table)]
        story.append(Spacer(1, 0.8 * mm))
        story.append(
            sheets.table(
                [[sheets.text(one.heading, bold=True), sheets.text(one.text)] for one in page.paragraphs],
                [19.0, wide - 19.0],
            )
        )
        story += [sheets.text(page.closing[0]), Spacer(1, 4.0 * mm), sheets.text(page.closing[1])]
        story.append(sheets.text(page.small_print, size=size - 0.9))
        return story
