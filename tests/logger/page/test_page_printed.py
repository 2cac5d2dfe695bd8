"""Pages printed by a real browser: one sheet, whatever was entered, on both papers."""

from pathlib import Path

import pytest
from chromium import needs_browser, printed
from pages_made import HOSTILE, at_odds, html, practice_part, written_part
from pypdf import PdfReader

from logger.page import PAPERS, MeasuredPart

pytestmark = [pytest.mark.slow, needs_browser]  # a browser is started for every page


def sheets(part: MeasuredPart, folder: Path, **style: object) -> list[str]:
    """Return the text of every sheet that a browser prints."""
    page = folder / "page.html"
    page.write_text(html(part, **style), "utf-8")  # type: ignore[arg-type]
    return [" ".join(sheet.extract_text().split()) for sheet in PdfReader(printed(page, folder)).pages]


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_sheet(paper: str, tmp_path: Path) -> None:
    (text,) = sheets(practice_part(), tmp_path, paper=PAPERS[paper])
    assert "RUNOUT MEASUREMENT RECORD" in text
    assert "- end of record -" in text


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_sheet_with_every_text_as_long_as_it_may_be(paper: str, tmp_path: Path) -> None:
    (text,) = sheets(at_odds(written_part(tmp_path), HOSTILE), tmp_path, paper=PAPERS[paper], grey=True)
    assert "- end of record -" in text
    assert "<script>alert(1)</script> $x$" in text
