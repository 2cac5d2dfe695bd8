"""Every field that a record has to state stands on the page, entered or said not to be recorded.

The clauses are those of ISO/IEC 17025:2017, 7.8.2.1, 7.8.6.2 and 7.8.8 (public excerpts; the wording is ours).
"""

from dataclasses import replace
from pathlib import Path

import pytest
from pages_made import GAUGE, ISSUE, html, practice_part, text_of_html, written_part

from logger.page import Issue

ENTERED = replace(
    ISSUE,
    laboratory="Bench laboratory",
    address="Mill lane 3",
    customer="River works",
    method="MP-12 issue 3",
)
CLAUSES = {
    "a title": "RUNOUT MEASUREMENT RECORD",
    "b laboratory": "Laboratory: Bench laboratory; Mill lane 3",
    "c place": "Place not recorded",
    "d identity": "No. ",
    "d end": "- end of record -",
    "e customer": "customer River works; contact not recorded",
    "f method": "MP-12 issue 3; orders 1 to 15 by least squares, numerics",
    "g item": "hub 4; serial not recorded; drawing not recorded",
    "g condition": "condition not recorded",
    "h received": "received not recorded",
    "i performed": "as found not recorded; as left not recorded",
    "j issued": "issued 2026-11-26",
    "l only these items": "Results relate only to the item and the track named.",
    "m results with units": "TIR of the fitted curve 0.0",
    "n deviations": "readings from outside a recording (o)",
    "o authorised": "Authorised by ____",
    "7.8.4.1 indicator": "DI-07; gauge certificate not recorded; due 2031-01-31; error +-0.0030 mm (limits of error)",
    "7.8.6.2 a which limit": "within the entered limit 0.05 mm (1.97 thou).",
    "7.8.6.2 b where it stands": "0.05 mm (1.97 thou) TIR; manual p. 12",
    "7.8.6.2 c rule": "one-sided-95: within where",
    "temperature": "temperature not recorded",
}


@pytest.fixture(scope="module")
def text(tmp_path_factory: pytest.TempPathFactory) -> str:
    part = written_part(tmp_path_factory.mktemp("walk"), **GAUGE, operator="HK", track_radius="60 mm")
    return text_of_html(html(part, ENTERED, lab=True))


@pytest.mark.parametrize("clause", CLAUSES)
def test_each_clause_is_found(text: str, clause: str) -> None:
    assert CLAUSES[clause] in text


def test_what_nobody_entered_is_said_so_and_listed(tmp_path: Path) -> None:
    text = text_of_html(html(written_part(tmp_path)))
    assert "Laboratory: not recorded" in text
    assert "By not recorded; issued 2026-11-26" in text


def test_a_limit_without_a_source_is_doubtful(tmp_path: Path) -> None:
    text = text_of_html(html(written_part(tmp_path, limit_source="")))
    assert "source not entered: the limit is doubtful" in text
    assert "nobody entered where the limit is written" in text


def test_an_amendment_says_what_and_why(tmp_path: Path) -> None:
    issue = Issue(ISSUE.issued, amends="2026-0139", reason="wrong track radius")
    assert "Amends 2026-0139: wrong track radius" in text_of_html(html(practice_part(before=False), issue))


def test_the_arithmetic_is_unfolded(text: str) -> None:
    for heading in (
        "set-up as recorded",
        "each turn by itself",
        "orders by least squares",
        "TIR as a sum",
        "budget of the uncertainty",
        "every check",
        "what the curve leaves",
        "u = given / divisor x sensitivity",
        "How to repeat it",
    ):
        assert heading in text
    # The gauge's own error by its certificate: E sqrt(2/3) of limits +-0.003 mm (JCGM 100:2008, 4.3.7).
    assert "gauge's own error gauge's certificate 0.003000 rectangular 1.732 1.414 0.002449" in text


def test_what_a_recording_carries_of_the_registers_stands_there(tmp_path: Path) -> None:
    carried = {
        "serial": "A-017",
        "bench": "2",
        "place": "hall 3",
        "temperature": "20.6 C",
        "gauge_certificate": "4711",
    }
    text = text_of_html(html(written_part(tmp_path, **carried)))
    for words in ("serial A-017", "Place 2; hall 3; temperature 20.6 C", "gauge certificate 4711"):
        assert words in text
