"""The page of PDF says what the page of HTML says, on one sheet, with its fonts in it."""

import io
from pathlib import Path
from types import SimpleNamespace

import pytest
from pages_made import HOSTILE, at_odds, html, pdf, practice_part, text_of_html, text_of_pdf, written_part
from pypdf import PdfReader
from pytest_mock import MockerFixture

from analysis.errors import BadInput
from logger.page import PAPERS, making


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_sheet_of_the_paper(paper: str) -> None:
    reader = PdfReader(io.BytesIO(pdf(practice_part(), paper=PAPERS[paper])))
    (sheet,) = reader.pages
    size_mm = [float(side) * 25.4 / 72.0 for side in (sheet.mediabox.width, sheet.mediabox.height)]
    assert size_mm == pytest.approx([PAPERS[paper].width_mm, PAPERS[paper].height_mm], abs=0.1)  # as written


def test_it_is_one_sheet_whatever_was_entered(tmp_path: Path) -> None:
    data = pdf(at_odds(written_part(tmp_path), HOSTILE), paper=PAPERS["letter"])
    assert len(PdfReader(io.BytesIO(data)).pages) == 1
    assert "<script>alert(1)</script> $x$ ·=1+1" in text_of_pdf(data)


def test_it_says_what_the_page_of_html_says(tmp_path: Path) -> None:
    part = written_part(tmp_path)
    of_pdf, of_html = text_of_pdf(pdf(part)), text_of_html(html(part))
    numbers = {word for word in of_html.split() if word.replace(".", "").isdecimal() and len(word) > 5}
    assert len(numbers) > 10
    assert {word for word in numbers if word not in of_pdf} == set()


def test_the_same_bytes_twice() -> None:
    assert pdf(practice_part()) == pdf(practice_part())


def test_every_font_is_embedded(tmp_path: Path) -> None:
    reader = PdfReader(io.BytesIO(pdf(written_part(tmp_path))))
    fonts = {name for sheet in reader.pages for name in sheet["/Resources"]["/Font"].values()}  # type: ignore[index]
    described = [font.get_object() for font in fonts]
    used = [font for font in described if "/FontDescriptor" in font]
    assert {str(font["/BaseFont"]).partition("+")[2] for font in used} == {
        "DejaVuSansCondensed",
        "DejaVuSansCondensed-Bold",
    }
    assert all("/FontFile2" in font["/FontDescriptor"].get_object() for font in used)


def test_letters_of_other_scripts_stand_there(tmp_path: Path) -> None:
    text = text_of_pdf(pdf(at_odds(written_part(tmp_path), "Żabka Ölkännchen втулка πλήμνη 軸")))
    assert "Żabka Ölkännchen втулка πλήμνη □" in text


def test_invented_data_is_marked_on_every_sheet() -> None:
    reader = PdfReader(io.BytesIO(pdf(practice_part())))
    assert all("PRACTICE BENCH, INVENTED" in sheet.extract_text() for sheet in reader.pages)


def test_without_its_library_it_says_what_to_install(mocker: MockerFixture) -> None:
    mocker.patch.object(making, "import_module", side_effect=ModuleNotFoundError(name="reportlab"))
    with pytest.raises(BadInput, match=r"fullturn\[page\]"):
        pdf(practice_part(before=False))


def test_a_fault_of_our_own_is_no_missing_library(mocker: MockerFixture) -> None:
    fault = ModuleNotFoundError(name="logger.page.nothing")
    mocker.patch.object(making, "import_module", side_effect=fault)
    with pytest.raises(ModuleNotFoundError):
        making.pdf_maker(SimpleNamespace().__class__.__name__)
