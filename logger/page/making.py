"""A page made and written: which kind a file's name asks for, whole or not at all."""

import hashlib
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from analysis.errors import BadInput
from analysis.uncertainty import LineOrigin
from logger.page.arithmetic import chapters
from logger.page.batch import (
    TITLE as BATCH_TITLE,
    Batch,
    chapters as chapters_of_batch,
    csv_of,
    label_lines,
)
from logger.page.batch_figures import labels
from logger.page.content import Content, content_of
from logger.page.drawing import COLOUR, GREY, Drawing
from logger.page.empty_sheet import TITLE as SHEET_TITLE, empty_sheet
from logger.page.html_page import html_chapters, html_drawings, html_page
from logger.page.issue import Issue, number_of
from logger.page.paper import PAPERS, Paper
from logger.page.part_on_page import MeasuredPart
from logger.page.readings_file import ReadingsFile
from logger.page.svg import svg_file

KINDS = (".html", ".pdf")
OWN_ERROR = "gauge's own error"


@dataclass(frozen=True, slots=True)
class Style:
    """How a page is made."""

    paper: Paper = PAPERS["a4"]
    grey: bool = False
    unit: str = "mm"
    lab: bool = False
    """With the arithmetic behind it."""


@dataclass(frozen=True, slots=True)
class Made:
    """A page as a file has it."""

    content: Content
    data: bytes
    pages: int | None
    """None of HTML: the browser lays it out."""

    @property
    def sha256(self) -> str:
        """Checksum of the file."""
        return hashlib.sha256(self.data).hexdigest()


def check_file(path: Path, kinds: tuple[str, ...] = KINDS) -> None:
    """Refuse a file that is there, or whose name asks for no kind of page that is made here."""
    if path.suffix.lower() not in kinds:
        raise BadInput(f"{path}: expected a file that ends in {' or '.join(kinds)}; name it so")
    if path.exists():
        raise BadInput(f"{path} exists already: a record is never overwritten; choose another name")
    if not path.absolute().parent.is_dir():
        raise BadInput(f"{path}: there is no folder {path.parent}; make it, or choose another name")


def check_laboratory(part: MeasuredPart, issue: Issue) -> None:
    """Refuse a laboratory's record where what it has to state is not there: every reason at once."""
    if part.practice:
        raise BadInput("--lab: invented data makes no laboratory record; leave --lab out, or measure a part")
    missing = []
    if not issue.laboratory or not issue.address:
        missing.append(
            "name and address of the laboratory (--lab-name, --lab-address, or [lab] of fullturn.toml)"
        )
    if not (issue.customer or part.known_of.customer):
        missing.append("the customer (--customer, or that of its job or part in the store)")
    for title, one in zip(part.titles, part.sweeps, strict=True):
        of_gauge = [line.origin for line in one.result.unseen if line.source == OWN_ERROR]
        if LineOrigin.CERTIFICATE not in of_gauge:
            missing.append(f"the gauge's own error by its certificate, {title.lower()} (--set gauge_error)")
        if one.result.past_due:
            missing.append(f"a gauge within its due date, {title.lower()}: {one.result.past_due}")
    if missing:
        raise BadInput(f"--lab needs {'; '.join(dict.fromkeys(missing))}; enter it, or leave --lab out")


def made_page(
    part: MeasuredPart, issue: Issue, style: Style, kind: str, files: Sequence[ReadingsFile] = ()
) -> Made:
    """Return the page as this kind of file; the same part and issue give the same bytes.

    ``files`` of readings are named on a laboratory's record. Raises BadInput where what makes PDF is not
    installed.
    """
    (made,) = made_pages(part, issue, style, (kind,), files)
    return made


def made_pages(
    part: MeasuredPart, issue: Issue, style: Style, kinds: Sequence[str], files: Sequence[ReadingsFile] = ()
) -> list[Made]:
    """Return one and the same page as every one of these kinds of file; see ``made_page``."""
    page = content_of(part, issue, style.unit, chapters(part, style.unit, files) if style.lab else ())
    return [as_file(page, style, kind) for kind in kinds]


def as_file(page: Content, style: Style, kind: str) -> Made:
    """Return a content as this kind of file. Raises BadInput where what makes PDF is not installed."""
    if kind == ".html":
        return Made(page, html_page(page, style.paper, grey=style.grey).encode(), None)
    data, pages = pdf_maker("logger.page.pdf_page").pdf_page(page, style.paper, grey=style.grey)
    return Made(page, data, pages)


def made_batch(batch: Batch, style: Style, kind: str, sampling: str = "") -> tuple[bytes, int | None]:
    """Return the file of a batch and how many pages it has; None where nobody has laid it out.

    Raises BadInput where what makes PDF is not installed.
    """
    if kind == ".csv":
        return csv_of(batch).encode(), None
    parts, number = chapters_of_batch(batch, style.unit, sampling), number_of(batch.sweeps)
    how = {"practice": batch.practice, "grey": style.grey}
    if kind == ".html":
        return html_chapters(BATCH_TITLE, number, parts, style.paper, **how).encode(), None
    maker = pdf_maker("logger.page.pdf_page")
    made: tuple[bytes, int] = maker.pdf_chapters(BATCH_TITLE, number, parts, style.paper, **how)
    return made


def made_labels(batch: Batch, style: Style, kind: str, grid: tuple[int, int]) -> bytes:
    """Return labels, so many across and down. Raises BadInput where what makes PDF is not installed."""
    lines = [label_lines(row, one, style.unit) for row, one in zip(batch.rows, batch.sweeps, strict=True)]
    sheets = labels(lines, grid, style.paper, practice=batch.practice)
    if kind == ".html":
        return html_drawings(sheets, style.paper, "Labels", grey=style.grey).encode()
    data: bytes = pdf_maker("logger.page.pdf_page").pdf_drawings(
        sheets, style.paper, "Labels", grey=style.grey
    )
    return data


def made_sheet(places: int, style: Style, kind: str, part: str = "", limit: str = "") -> bytes:
    """Return an empty sheet as this kind of file. Raises BadInput where what makes PDF is not installed."""
    drawing = empty_sheet(places, style.paper, part, limit)
    if kind == ".html":
        return html_drawings((drawing,), style.paper, SHEET_TITLE, grey=style.grey).encode()
    maker = pdf_maker("logger.page.pdf_page")
    data: bytes = maker.pdf_drawings((drawing,), style.paper, SHEET_TITLE, grey=style.grey)
    return data


def made_drawing(drawing: Drawing, style: Style, kind: str) -> bytes:
    """Return one drawing as .svg or .pdf. Raises BadInput where what makes PDF is not installed."""
    if kind == ".svg":
        return svg_file(drawing, GREY if style.grey else COLOUR).encode()
    maker = pdf_maker("logger.page.pdf_page")
    data: bytes = maker.pdf_drawings((drawing,), style.paper, drawing.says, grey=style.grey)
    return data


def pdf_maker(module: str) -> Any:
    """Load a module that makes PDF. Raises BadInput where its library is not installed."""
    try:
        return import_module(module)
    except ModuleNotFoundError as error:
        if error.name != "reportlab":
            raise
        raise BadInput(
            "a file of PDF needs fullturn[page]: install it with pip install 'fullturn[page]', or name a "
            "file that ends in .html and print it from a browser"
        ) from error


def write_all(files: Mapping[Path, bytes]) -> None:
    """Write files that are all there or none. Raises BadInput where one cannot be written."""
    written: list[Path] = []
    try:
        for path, data in files.items():
            write_whole(path, data)
            written.append(path)
    except BadInput:
        for path in written:
            path.unlink(missing_ok=True)
        raise


def write_whole(path: Path, data: bytes) -> None:
    """Write a file that is there whole or not at all. Raises BadInput where it cannot be written."""
    beside = path.with_name(f".{path.name}.part")
    try:
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise BadInput(f"{path} cannot be written: {error.strerror}; choose another place") from error
