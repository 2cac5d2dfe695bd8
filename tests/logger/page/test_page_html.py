"""The page of HTML: one file that fetches nothing and takes every entered text as text."""

import re
from pathlib import Path

import pytest
from pages_made import (
    FOUND,
    HOSTILE,
    ISSUE,
    LEFT,
    at_odds,
    html,
    practice_part,
    seen_in,
    text_of_html,
    written_part,
)

from logger.page import PAPERS, measured_part
from logger.page.drawing import Ink, Path as Path_
from logger.page.figures import figure, scale_of

from pages_made import sweep  # isort: skip


@pytest.fixture(scope="module")
def page() -> str:
    return html(practice_part())


def test_nothing_is_fetched_from_anywhere(page: str) -> None:
    # As kept.md's grep: no link, no font, no import, whatever the quotes.
    assert re.search(r"(src|href)=[\"']?https?:|url\(http|@import", page) is None
    assert seen_in(page).links == []
    assert "default-src 'none'" in page
    assert "http" not in page.replace("http-equiv", "")


def test_the_same_part_and_day_give_the_same_bytes_under_another_name(tmp_path: Path) -> None:
    copies = []
    for name in ("one", "another"):
        (tmp_path / name).mkdir()
        for kept in (FOUND, LEFT):
            (tmp_path / name / f"{kept.parent.name}.mcap").write_bytes(kept.read_bytes())
        before, after = (tmp_path / name / f"{kept.parent.name}.mcap" for kept in (FOUND, LEFT))
        copies.append(html(measured_part(sweep(after), sweep(before))))
    assert copies[0] == copies[1]


def test_the_answer_stands_before_everything_else(page: str) -> None:
    text = text_of_html(page)
    answer = text.index("As left: face runout 0.031 mm")
    assert answer < text.index("As found: face runout 0.146 mm") < text.index("bull-gear flange", answer)
    assert text.count("within the entered limit") == 1
    assert "Changed, as vectors, by 0.124" in text


def test_text_that_was_entered_is_never_an_element(tmp_path: Path) -> None:
    page = html(at_odds(written_part(tmp_path), HOSTILE))
    seen = seen_in(page)
    assert "script" not in seen.elements
    assert set(seen.elements) == set(seen_in(html(written_part(tmp_path))).elements)
    text = " ".join(seen.words)
    assert '<script>alert(1)</script> $x$ ·=1+1 & "quoted"' in text
    assert "\u202e" not in page
    longest = max(len(word) for word in re.split(r"[^m]+", text))
    assert 40 < longest < 120


def test_invented_data_is_marked_across_the_page(page: str) -> None:
    assert "PRACTICE BENCH, INVENTED" in text_of_html(page)


def test_a_part_that_was_measured_is_not_marked(tmp_path: Path) -> None:
    assert "INVENTED" not in text_of_html(html(written_part(tmp_path)))


def test_grey_is_grey() -> None:
    page = html(practice_part(), grey=True)
    colours = re.findall(r"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})\b", page)
    assert colours
    assert [each for each in colours if len(set(each)) > 1] == []


def test_paper_is_what_was_asked_for() -> None:
    part = practice_part(before=False)
    assert "size: A4" in html(part)
    assert "size: letter" in html(part, paper=PAPERS["letter"])


def test_one_sweep_says_that_there_is_no_before() -> None:
    text = text_of_html(html(practice_part(before=False)))
    assert "No sweep from before is put beside it: nothing is said of a change." in text
    assert "As found" not in text


def test_the_day_of_issue_is_an_argument(page: str) -> None:
    assert f"issued {ISSUE.issued.isoformat()}" in text_of_html(page)


def test_a_few_places_are_told_as_readings(tmp_path: Path) -> None:
    """Four readings written down and the first again: max - min is 0.09 mm, whatever a curve would be."""
    rows = ["0,0.00", "90,0.04", "180,-0.02", "270,-0.05", "360,0.00"]
    path = tmp_path / "few.csv"
    path.write_text(
        "\n".join(["# part = hub 9", "# surface = outside", "angle_deg,reading_mm", *rows]) + "\n"
    )
    part = measured_part(sweep(path))
    text = text_of_html(html(part))
    for words in ("TIR of the readings 0.0900 mm", "highest reading 90.0 deg", "few places, read one by one"):
        assert words in text
    assert "fitted curve 0" not in text
    (seen,) = part.seen()
    spots = [shape for shape in figure(seen, scale_of([seen]), "mm").shapes if is_spot(shape)]
    assert len(spots) == 2 * 4  # in the strip and round the circle


def is_spot(shape: object) -> bool:
    return isinstance(shape, Path_) and shape.area is Ink.CURVE and len(shape.points) == 4
