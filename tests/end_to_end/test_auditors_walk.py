"""An auditor's walk over a laboratory's record of a part that the emulated board measured; nothing is mocked.

The clauses are those of ISO/IEC 17025:2017, 7.8.2.1, 7.8.4.1 and 7.8.6 (read in public excerpts; the wording
is ours): each is looked for in both files, as a person reads them.
"""

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from board_records import GAUGE, JOB, PART, BoardRecord, board_record
from chromium import needs_browser, printed
from firmware_bench import NEEDED
from pages_made import never_said, text_of_html, text_of_pdf
from pypdf import PdfReader

from logger.recording import sha256_of

pytestmark = NEEDED

NUMBER = r"\d\.\d{4} mm, 95 %: \d\.\d{4} mm to \d\.\d{4} mm"
CLAUSES = {
    "a title": r"RUNOUT MEASUREMENT RECORD",
    "b laboratory": r"Laboratory: Bench laboratory; Mill lane 3, 1000 Weir",
    "c place": r"Place bench 2; measuring room 1; temperature 20\.6 C",
    "d identity": r"No\. \d{4}-000[12]",
    "e customer": rf"Job {JOB}; customer River works; contact desk 3",
    "f method": r"Method MP-12 issue 3; orders 1 to 15 by least squares, numerics \d+",
    "g item": rf"Part {PART}; serial A-017; drawing D-1093",
    "g condition": r"condition cleaned, no burrs",
    "g where on it": r"Surface face; track radius 110 mm",
    "g from where angles count": r"Mark angles from the part's mark, 6 holes, hole 1 at it; none touched: where the encoder began to",
    "h received": r"received 2026-11-20",
    "i performed": r"as found \d{4}-\d\d-\d\d \d\d:\d\d UTC; as left \d{4}-\d\d-\d\d \d\d:\d\d UTC",
    "j issued": r"issued \d{4}-\d\d-\d\d",
    "k sampling": r"sampling the part named, none chosen among others",
    "l only these items": r"Results relate only to the item and the track named\.",
    "m results with units": rf"TIR of the fitted curve {NUMBER} {NUMBER}",
    "n deviations": r"Deviations none",
    "n left out": r"Left out nothing",
    "o who measured": r"By HK",
    "o authorised by a hand": r"Authorised by _+ Date _+",
    "7.8.4.1 a uncertainty": r"k = \d\.\d\d \(Student's t, 95 %\): U = k u = \d\.\d{6} mm",
    "7.8.4.1 b conditions": r"Assembly preload shims 0\.30; torque 60 Nm; end float before the sweep not recorded",
    "7.8.4.1 c traceability": (
        rf"Indicator {GAUGE}; gauge certificate C-4711; due 2031-01-31; error \+-0\.0030 mm \(limits of "
        r"error\); step 0\.0001 mm"
    ),
    "7.8.4.1 d before and after": r"As found: face runout 0\.1\d\d mm",
    "7.8.6.2 a which result": r"As left: face runout 0\.1\d\d mm .{0,120}: within the entered limit 0\.200 mm",
    "7.8.6.2 b which limit": r"Limit 0\.200 mm \(7\.87 thou\) TIR; manual 7\.3, p\. 41",
    "7.8.6.2 c rule": r"Rule one-sided-95: within where the value and its one-sided guard",
    "7.8.6.1 risk": r"limits the chance of a wrong 'within' for one part at the limit to 5 %",
}


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> BoardRecord:
    made = board_record(tmp_path_factory.mktemp("laboratory"))
    for ran in (*made.recorded, made.html, made.pdf):
        assert ran.status == 0, ran.err
    return made


@pytest.fixture(scope="module")
def texts(record: BoardRecord) -> dict[str, str]:
    return {"html": text_of_html(record.page), "pdf": text_of_pdf(record.pdf_data)}


@pytest.mark.parametrize("kind", ["html", "pdf"])
@pytest.mark.parametrize("clause", CLAUSES)
def test_each_clause_is_found(texts: dict[str, str], clause: str, kind: str) -> None:
    assert re.search(CLAUSES[clause], texts[kind])


def test_nothing_that_a_person_can_enter_is_left_open(record: BoardRecord) -> None:
    assert record.html.result["not_recorded"] == ["end float"]


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_it_ends_once_and_at_its_end(texts: dict[str, str], kind: str) -> None:
    text = texts[kind]
    assert text.count("end of record") == 1
    assert re.search(r"- end of record -( No\. \S+ page \d+ of \d+| No\. \S+, page \d+ of \d+)?$", text)


def test_every_sheet_has_its_number_and_how_many_there_are(record: BoardRecord) -> None:
    sheets = PdfReader(record.home / "record.pdf").pages
    for number, sheet in enumerate(sheets, start=1):
        assert f"No. {record.pdf.result['number']}, page {number} of {len(sheets)}" in sheet.extract_text()


def test_two_records_have_two_numbers(record: BoardRecord) -> None:
    assert record.html.result["number"] != record.pdf.result["number"]


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_the_recordings_are_named_by_what_they_are(
    record: BoardRecord, texts: dict[str, str], kind: str
) -> None:
    for ran in record.recorded:
        assert ran.result["recording_id"] in texts[kind]
        # A long word may be folded on paper.
        assert sha256_of(Path(ran.result["file"])) in texts[kind].replace(" ", "")


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_nothing_is_said_that_must_never_be(texts: dict[str, str], kind: str) -> None:
    assert never_said(texts[kind]) == []


@pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="no pdftotext here: apt-get install poppler-utils"
)
@pytest.mark.parametrize("clause", ["a title", "b laboratory", "g item", "l only these items"])
def test_another_reader_finds_it_on_the_first_sheet(record: BoardRecord, clause: str) -> None:
    ran = subprocess.run(
        ["pdftotext", "-l", "1", "-layout", str(record.home / "record.pdf"), "-"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert re.search(CLAUSES[clause], " ".join(ran.stdout.split()))


@needs_browser
def test_printed_from_a_browser_it_says_the_same(record: BoardRecord, tmp_path: Path) -> None:
    text = text_of_pdf(printed(record.home / "record.html", tmp_path).read_bytes())
    for clause in ("a title", "d identity", "l only these items", "o authorised by a hand", "7.8.6.2 c rule"):
        assert re.search(CLAUSES[clause], text), clause
    assert f"No. {record.html.result['number']}, page 1 of " in text
