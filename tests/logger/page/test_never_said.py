"""What must never be said stands in no template and on no page: words of a verdict nobody may give."""

from pathlib import Path

import pytest
from pages_made import (
    GAUGE,
    html,
    never_said,
    pdf,
    practice_part,
    sweep,
    text_of_html,
    text_of_pdf,
    written_part,
)
from places import RECORDINGS, ROOT

from logger.page import measured_part

STAGES = sorted(path.name for path in RECORDINGS.iterdir() if (path / "recording.mcap").exists())


@pytest.mark.parametrize(
    "path", sorted((ROOT / "logger" / "page" / "templates").iterdir()), ids=lambda path: path.name
)
def test_no_template_says_it(path: Path) -> None:
    assert never_said(path.read_text("utf-8")) == []


@pytest.mark.parametrize("name", [name for name in STAGES if "end-float" not in name])
def test_no_page_of_a_kept_recording_says_it(name: str) -> None:
    one = sweep(RECORDINGS / name / "recording.mcap")
    assert never_said(text_of_html(html(measured_part(one)))) == []


def test_no_page_of_before_and_after_says_it(tmp_path: Path) -> None:
    for part in (practice_part(), written_part(tmp_path, **GAUGE)):
        assert never_said(text_of_html(html(part, lab=True))) == []
        assert never_said(text_of_pdf(pdf(part))) == []


@pytest.mark.parametrize(
    "words",
    [
        "certified", "The part passed.", "FAIL", "OK", "safe to use", "calibrated hub", "runs true", "0.000 mm TIR",
        "guaranteed", "in accordance with ISO 1", "this is proof", "a certificate",
    ],
)  # fmt: skip
def test_the_words_are_found_where_they_stand(words: str) -> None:
    assert never_said(words) != []


def test_nothing_is_filled_in_where_a_hand_signs() -> None:
    text = text_of_html(html(practice_part()))
    assert "Measured by ______________________ Date ____________" in text
    assert "Authorised by ______________________ Date ____________" in text


def test_no_limit_stands_there_that_nobody_entered(tmp_path: Path) -> None:
    part = written_part(tmp_path, limit="")
    text = text_of_html(html(part))
    assert "limit not recorded" in text
    assert "no limit was entered" in text
    assert "entered limit 0" not in text
