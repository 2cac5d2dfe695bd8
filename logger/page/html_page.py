"""A page as one file of HTML: nothing is fetched from anywhere, and every text is escaped."""

from collections.abc import Mapping, Sequence
from itertools import zip_longest

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from logger.page.content import END, INVENTED, INVENTED_SENTENCE, TITLE, Chapter, Content
from logger.page.drawing import COLOUR, GREY, Drawing, Ink
from logger.page.numbers_table import TextTable
from logger.page.paper import LINE_HEIGHT, Paper, Passage, text_size
from logger.page.shown import unbroken
from logger.page.svg import svg

INVENTED_TONE = {False: "#eee2d9", True: "#e6e6e6"}
"""Of the words across a page of invented data, in colour and grey."""


_WIDE_MM, _COLUMN_MM, _PARAGRAPH_MM, _CELL_MM = 186.0, 73.0, 164.0, 44.0
_ANSWER_POINTS = 10.0
_RULES_MM = 16.0
"""What lines between the parts, and the place to sign, take of the height."""


def text_size_of(page: Content, paper: Paper) -> float:
    """Return the size of text, in points, at which one sheet of paper holds the page without its annex."""
    first, *others = page.answers
    rows: list[tuple[Passage, ...]] = [
        (Passage(first.text, _WIDE_MM, _ANSWER_POINTS),),
        (Passage(page.laboratory.words, 80.0),),
        *((Passage(line.text, _WIDE_MM),) for line in others),
        *([(Passage(page.amends, _WIDE_MM),)] if page.amends else []),
    ]
    columns = [
        [Passage(line.words, _COLUMN_MM, spared_mm=0.2) for line in one] for one in (page.left, page.right)
    ]
    rows += zip_longest(*columns, fillvalue=Passage("", _COLUMN_MM))
    rows.append((Passage(page.caption, _WIDE_MM),))
    rows += [
        tuple(Passage(cell, _CELL_MM, spared_mm=0.6) for cell in row)
        for row in (page.table.head, *page.table.rows)
    ]
    rows += [(Passage(one.text, _PARAGRAPH_MM, spared_mm=0.2),) for one in page.paragraphs]
    rows += [(Passage(line, _WIDE_MM),) for line in (*page.closing, page.small_print)]
    return text_size(paper, rows, _RULES_MM + sum(drawing.height for drawing in page.drawings))


def html_page(page: Content, paper: Paper, *, grey: bool) -> str:
    """Return the page; the same content gives the same text."""
    inks: Mapping[Ink, str] = GREY if grey else COLOUR
    return (
        _environment()
        .get_template("page.html.j2")
        .render(
            page=page,
            title=TITLE,
            invented=INVENTED,
            invented_sentence=INVENTED_SENTENCE,
            end=END,
            paper=paper,
            size=text_size_of(page, paper),
            line_height=LINE_HEIGHT,
            ink={"text": inks[Ink.TEXT], "dim": inks[Ink.DIM], "invented": INVENTED_TONE[grey]},
            # Made here with every text in it escaped.
            drawings=[Markup(svg(drawing, inks)) for drawing in page.drawings],
            svg_of=lambda drawing: Markup(svg(drawing, inks)),
            table_of=_table,
        )
    )


def html_chapters(
    title: str, number: str, chapters: Sequence[Chapter], paper: Paper, *, practice: bool, grey: bool
) -> str:
    """Return chapters one after the other."""
    inks: Mapping[Ink, str] = GREY if grey else COLOUR
    return (
        _environment()
        .get_template("chapters.html.j2")
        .render(
            title=title,
            number=number,
            chapters=chapters,
            paper=paper,
            practice=practice,
            invented=INVENTED,
            invented_sentence=INVENTED_SENTENCE,
            ink={"text": inks[Ink.TEXT], "dim": inks[Ink.DIM], "invented": INVENTED_TONE[grey]},
            svg_of=lambda drawing: Markup(svg(drawing, inks)),
            table_of=_table,
        )
    )


def html_drawings(drawings: Sequence[Drawing], paper: Paper, title: str, *, grey: bool) -> str:
    """Return a page a drawing."""
    inks: Mapping[Ink, str] = GREY if grey else COLOUR
    return (
        _environment()
        .get_template("sheet.html.j2")
        .render(title=title, paper=paper, drawings=[Markup(svg(each, inks)) for each in drawings])
    )


def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("logger.page"),
        autoescape=True,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
        finalize=lambda value: unbroken(value) if type(value) is str else value,
    )


def _table(table: TextTable) -> Markup:
    head = Markup("").join(Markup("<th>{}</th>").format(unbroken(cell)) for cell in table.head)
    rows = Markup("").join(
        Markup("<tr><th>{}</th>{}</tr>\n").format(
            row[0], Markup("").join(Markup("<td>{}</td>").format(unbroken(cell)) for cell in row[1:])
        )
        for row in table.rows
    )
    if not table.widths_mm:
        return Markup("<table>\n<tr>{}</tr>\n{}</table>").format(head, rows)
    # As on paper: a column that may be broken anywhere is else made too narrow for a word.
    columns = Markup("").join(Markup('<col style="width: {}mm">').format(f"{mm:g}") for mm in table.widths_mm)
    return Markup('<table class="fixed">\n{}<tr>{}</tr>\n{}</table>').format(columns, head, rows)
