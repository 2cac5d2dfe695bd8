"""``report`` and ``sheet`` as they are typed: what they end with, write, refuse, and say in one object."""

import csv
import hashlib
import shutil
from pathlib import Path

import pandas
import pytest
from made_histories import add_sweep, result_of
from pages_made import FOUND, GAUGE, LEFT, never_said, seen_in, text_of_html, text_of_pdf
from places import RECORDINGS
from promises.inside import copy_recording
from pypdf import PdfReader
from running import inside, move_in, one_line
from written_sweeps import write_csv

from analysis.store import open_store
from logger.inputs import load_sweep
from logger.job import Job, JobSweep, job_file

LAB = ("--lab-name", "Bench laboratory", "--lab-address", "Mill lane 3", "--customer", "River works")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return move_in(tmp_path, monkeypatch)


def written(home: Path, **setup: str) -> list[str]:
    given = {"part": "hub 4", "surface": "outside", "limit": "0.05 mm", "limit_source": "p. 12", **setup}
    return [
        write_csv(home / f"{stage}.csv", tir, 70.0, stage=f"as {stage}", **given)
        for stage, tir in (("found", 0.09), ("left", 0.03))
    ]


def test_the_status_is_that_of_the_part_as_it_is_left(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found, left = written(home)
    assert inside(capsys, "report", found, left, "-o", "within.html").status == 0
    assert inside(capsys, "report", left, found, "-o", "over.html").status == 1
    close = ("--set", "limit=0.0302 mm")
    assert inside(capsys, "report", found, left, *close, "-o", "close.html").status == 3
    assert inside(capsys, "report", found, left, "--set", "limit=", "-o", "none.html").status in (0, 2)


def test_one_object_says_what_was_made(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found, left = written(home)
    made = inside(capsys, "report", found, left, "-o", "page.pdf", "--json").result
    data = (home / "page.pdf").read_bytes()
    assert made["file"] == "page.pdf"
    assert made["sha256"] == hashlib.sha256(data).hexdigest()
    assert made["number"] == hashlib.sha256(Path(left).read_bytes()).hexdigest()[:8]
    assert (made["pages"], made["state"]) == (1, "within")
    assert made["not_recorded"][:3] == ["laboratory", "serial number", "drawing"]
    assert f"No. {made['number']}" in text_of_pdf(data)


def test_the_same_command_twice_gives_the_same_bytes(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for kind in ("html", "pdf"):
        made = [
            inside(capsys, "report", FOUND, LEFT, "-o", f"{name}.{kind}", "--json").result["sha256"]
            for name in ("one", "two")
        ]
        assert made[0] == made[1]


def flipped(path: Path, at: int) -> Path:
    """Flip one bit of a file; ``at`` counts from its end where it is negative."""
    data = bytearray(path.read_bytes())
    data[at] ^= 1
    path.write_bytes(data)
    return path


# In a message, in the records at the end, in the last checksum.
@pytest.mark.parametrize("at", [5_000, -300, -10])
@pytest.mark.parametrize("batch", [(), ("--batch",)], ids=["page", "batch"])
def test_a_recording_with_a_flipped_bit_is_refused(
    home: Path, capsys: pytest.CaptureFixture[str], at: int, batch: tuple[str, ...]
) -> None:
    file = Path(shutil.copy(FOUND, home / "found.mcap"))
    assert inside(capsys, "report", file, *batch, "-o", "whole.html").status == 1
    ran = inside(capsys, "report", flipped(file, at), LEFT, *batch, "-o", "flipped.html")
    assert ran.status == 2
    assert "the checksums it was closed with do not hold: altered since it was recorded" in one_line(ran)
    assert not (home / "flipped.html").exists()


def test_a_recording_cut_short_is_put_on_a_page_and_refused_where_the_store_knows_it_whole(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = Path(shutil.copy(FOUND, home / "found.mcap"))
    whole = file.read_bytes()
    file.write_bytes(whole[:-400])
    assert inside(capsys, "report", file, "-o", "cut.html").status == 1
    assert "as found: its recording broke off" in text_of_html((home / "cut.html").read_text())
    file.write_bytes(whole)
    assert inside(capsys, "store", "add", file).status == 0
    file.write_bytes(whole[:-400])
    ran = inside(capsys, "report", file, "-o", "again.html")
    assert ran.status == 2
    assert "by the store: altered since it was recorded" in one_line(ran)


def test_a_file_that_is_there_is_never_overwritten(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (home / "kept.html").write_text("kept")
    ran = inside(capsys, "report", FOUND, "-o", "kept.html")
    assert (ran.status, (home / "kept.html").read_text()) == (2, "kept")
    assert "never overwritten" in one_line(ran)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("no such part", "-o", "p.html"), "no recording of 'no such part'"),
        (("no such part", "-o", "p.html"), "`fullturn history --by part` lists what was measured"),
        ((FOUND, "-o", "p.txt"), "ends in .html or .pdf"),
        ((FOUND, "-o", "nowhere/p.html"), "there is no folder"),
        ((FOUND, LEFT, FOUND, "-o", "p.html"), "3 files"),
        ((FOUND, "nothing.txt", "-o", "p.html"), "no file nothing.txt"),
        (("-o", "p.html"), "nothing to put on a page"),
        ((FOUND, "--after", LEFT, "-o", "p.html"), "at once"),
        ((FOUND, "--amends", "2026-1", "-o", "p.html"), "go together"),
        ((FOUND, "practice:potters-wheel/as-left", "-o", "p.html"), "different parts"),
    ],
)
def test_what_cannot_be_put_on_a_page_is_refused(
    words: tuple[object, ...], why: str, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = inside(capsys, "report", *words)
    assert ran.status == 2
    assert why in one_line(ran)
    assert list(Path().glob("p.*")) == []


def test_a_laboratory_record_is_refused_for_invented_data(capsys: pytest.CaptureFixture[str]) -> None:
    ran = inside(capsys, "report", LEFT, "--lab", *LAB, "-o", "lab.html")
    assert ran.status == 2
    assert "invented data makes no laboratory record" in one_line(ran)


def test_a_laboratory_record_names_everything_that_is_missing(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refused = one_line(inside(capsys, "report", *written(home), "--lab", "-o", "lab.html"))
    for missing in ("name and address", "the customer", "gauge's own error by its certificate"):
        assert missing in refused
    assert not (home / "lab.html").exists()


def test_a_gauge_past_due_makes_no_laboratory_record(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = written(home, **{**GAUGE, "gauge_due": "2020-01-01"})
    ran = inside(capsys, "report", *files, "--lab", *LAB, "-o", "lab.html")
    assert ran.status == 2
    assert "within its due date" in one_line(ran)
    assert inside(capsys, "report", *files, "-o", "plain.html").status == 0
    text = text_of_html((home / "plain.html").read_text())
    assert text.count("certificate was due on 2020-01-01") >= 2  # in the rule and among the deviations


def test_a_laboratory_is_kept_in_the_settings(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (home / "config").mkdir()
    (home / "config" / "fullturn.toml").write_text(
        '[lab]\nname = "Bench laboratory"\naddress = "Mill lane 3"\nmethod = "MP-12"\n'
    )
    ran = inside(
        capsys, "report", *written(home, **GAUGE), "--lab", "--customer", "River works", "-o", "lab.html"
    )
    assert ran.status == 0, ran.err
    text = text_of_html((home / "lab.html").read_text())
    assert "Laboratory: Bench laboratory; Mill lane 3" in text
    assert "The arithmetic" in text
    (home / "config" / "fullturn.toml").write_text('[lab]\nnmae = "x"\n')
    assert "no key of [lab]" in one_line(inside(capsys, "report", *written(home), "-o", "x.html"))


def test_what_does_not_compare_is_said_and_keeps_the_status_of_as_left(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found, _ = written(home)
    other = write_csv(
        home / "other.csv", 0.03, 70.0, part="hub 4", surface="bore", limit="0.05 mm", stage="as left"
    )
    ran = inside(capsys, "report", found, other, "-o", "page.html")
    assert ran.status == 0
    assert "Before and after do not compare: no change is given." in ran.out
    text = text_of_html((home / "page.html").read_text())
    assert "NO, and no change is claimed" in text
    assert "Changed, as vectors" not in text


def test_a_part_is_found_among_the_recordings_of_the_data_folder(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (home / "data" / "unnamed").mkdir(parents=True)
    for name, kept in (("data/a.mcap", FOUND), ("data/unnamed/b.mcap", LEFT)):
        (home / name).write_bytes(kept.read_bytes())
    ran = inside(capsys, "report", "bull-gear flange", "-o", "page.html")
    assert ran.status == 0, ran.err
    assert ran.first_line.startswith("As left: face runout 0.031 mm")
    assert "As found: face runout 0.146 mm" in ran.out


def test_a_part_is_found_in_the_store_wherever_its_files_lie(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (home / "far").mkdir()
    for name, kept in (("a.mcap", FOUND), ("b.mcap", LEFT)):
        (home / "far" / name).write_bytes(kept.read_bytes())
        assert inside(capsys, "store", "add", str(home / "far" / name)).status == 0
    ran = inside(capsys, "report", "bull-gear flange", "-o", "page.html")
    assert ran.status == 0, ran.err
    assert ran.first_line.startswith("As left: face runout 0.031 mm")
    assert "As found: face runout 0.146 mm" in ran.out
    by_files = inside(
        capsys, "report", str(home / "far/a.mcap"), str(home / "far/b.mcap"), "-o", "files.html"
    )
    assert by_files.status == 0
    assert (home / "page.html").read_bytes() == (home / "files.html").read_bytes()
    assert "no recording of 'bull-gear flange' '7'" in one_line(
        inside(capsys, "report", "bull-gear flange", "--serial", "7", "-o", "p.html")
    )
    # A newer one that lies in the data folder, not stored, goes first; an altered one is not used.
    (home / "far" / "b.mcap").write_bytes(LEFT.read_bytes() + b"one byte more")
    refused = one_line(inside(capsys, "report", "bull-gear flange", "-o", "p.html"))
    assert "altered since it was recorded" in refused
    (home / "data").mkdir(exist_ok=True)
    (home / "data" / "b.mcap").write_bytes(LEFT.read_bytes())
    assert inside(capsys, "report", "bull-gear flange", "-o", "p.html").status == 0


def test_of_several_serials_one_has_to_be_named(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with open_store(home / "store.db") as store:
        for serial in ("1", "2"):
            add_sweep(store, f"id-{serial}", f"2026-01-0{serial}T08:00:00Z", result_of(0.03), serial=serial)
    refused = one_line(inside(capsys, "report", "flange", "-o", "p.html"))
    assert "stored with 2 serials (1, 2): name one with --serial" in refused
    missing = one_line(inside(capsys, "report", "flange", "--serial", "2", "-o", "p.html"))
    assert "store:rec/id-2 is recording id-2, and its file /gone/id-2.mcap is missing" in missing


def in_a_job(source: Path, folder: Path, step: str) -> JobSweep:
    """Copy a recording into a job's folder as one sweep of a step, taken whole."""
    sweep_id, name = f"id-of-{step}", f"{step}.mcap"
    ends = load_sweep(str(source), {}).capture.samples.t_s
    common = {"id": sweep_id, "step": step, "attempt": 1}
    copy_recording(
        source,
        folder / name,
        [
            {"event": "sweep-begun", **common},
            {"event": "sweep-taken", **common, "from_s": float(ends[0]), "to_s": float(ends[-1])},
        ],
    )
    said = "End float 0.210 mm" if step == "end-float" else "a verdict"
    figure = "0.2100 refused" if step == "end-float" else "0.1463 OVER"
    return JobSweep(sweep_id, step, 1, name, "", 0, 4, "2026-01-06T08:00:00Z", said, "refused", figure)


def test_a_job_brings_its_end_float_and_its_steps(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    part, number = "bull-gear flange", "J-1"
    folder = job_file.folder_of(home / "data", part, number)
    folder.mkdir(parents=True)
    sources = {
        "end-float": RECORDINGS / "wind-pump-end-float" / "recording.mcap",
        "as-found": FOUND,
        "as-left": LEFT,
    }
    taken = tuple(in_a_job(source, folder, step) for step, source in sources.items())
    job_file.write(folder, Job(part, number, taken=taken, skipped=("half-before",), without=("end-float",)))
    for name, asked in (("folder.html", str(folder)), ("part.html", part)):
        ran = inside(capsys, "report", asked, "-o", name)
        assert ran.status == 0, ran.err
        text = text_of_html((home / name).read_text("utf-8"))
        assert "As found: face runout 0.146 mm" in text
        assert "end float before the sweep 0.2100 mm" in text
        assert "end float 0.2100 mm (refused); half before skipped; end float gone on without" in text
    assert (home / "folder.html").read_bytes() == (home / "part.html").read_bytes()


def test_no_half_page_is_left_where_it_cannot_be_written(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (home / ".page.html.part").symlink_to("/dev/full")
    ran = inside(capsys, "report", LEFT, "-o", "page.html")
    assert ran.status == 2
    assert "cannot be written" in one_line(ran)
    assert not (home / "page.html").exists()


@pytest.mark.parametrize("places", ["8", "12", "24"])
def test_the_example_on_a_sheet_gives_the_tir_printed_on_it(
    places: str, home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = inside(capsys, "sheet", "--places", places, "-o", "sheet.pdf", "--json")
    assert made.result == {"file": "sheet.pdf", "places": int(places)}
    text = text_of_pdf((home / "sheet.pdf").read_bytes())
    typed = text.partition('fullturn sweep --typed "')[2].partition('"')[0]
    printed = text.partition("prints TIR ")[2].partition(" mm")[0]
    result = inside(capsys, "sweep", "--typed", typed, "--json").result
    assert f"{result['pooled']['tir_raw_mm']:.2f}" == printed
    assert len(typed.split()) == int(places) + 1


def test_a_sheet_takes_what_is_entered_as_text(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    part = "<script>alert(1)</script>"
    ran = inside(capsys, "sheet", "--part", part, "--limit", "8 thou", "-o", "sheet.html")
    assert ran.status == 0
    page = (home / "sheet.html").read_text()
    assert "script" not in seen_in(page).elements
    assert part in text_of_html(page)
    assert inside(capsys, "sheet", "--limit", "8", "-o", "no.html").status == 2


# --- many parts ----------------------------------------------------------------------------------------


def batch_files(home: Path, parts: int) -> Path:
    """Write a folder of parts: every tenth over its limit, one with a name that a spreadsheet would compute."""
    folder = home / "batch"
    folder.mkdir()
    for k in range(parts):
        tir = 0.09 if k % 10 == 9 else 0.02 + 0.0001 * k
        part = "=1+1" if k == 3 else f"A-{k + 1:03d}"
        write_csv(folder / f"{k + 1:03d}.csv", tir, 3.0 * k, part=part, surface="outside", limit="0.05 mm")
    return folder


def test_a_part_that_did_not_change_is_said_to_have_by_less_than_the_last_digit(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    inside(capsys, "report", FOUND, FOUND, "-o", "same.html")
    text = text_of_html((home / "same.html").read_text(encoding="utf-8"))
    assert "Changed, as vectors, by under 0.0001 mm" in text
    assert never_said(text) == []


def test_a_batch_is_a_summary_and_a_row_a_part(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = batch_files(home, 60)
    ran = inside(capsys, "report", "--batch", folder, "-o", "batch.pdf", "--labels", "labels.pdf", "--json")
    assert ran.status == 1, ran.err
    found = ran.result
    counts = {key: found[key] for key in ("parts", "within", "over", "undecided", "refused")}
    assert counts == {"parts": 60, "within": 54, "over": 6, "undecided": 0, "refused": 0}
    sheets = PdfReader(home / "batch.pdf").pages
    assert len(sheets) == 1 + 3  # the summary, and 25 rows a sheet
    text = " ".join(" ".join(sheet.extract_text() for sheet in sheets).split())
    for words in ("60 parts: 54 within the entered limit, 6 over the entered limit", "A-060", "page 4 of 4"):
        assert words in text
    assert len(PdfReader(home / "labels.pdf").pages) == 3  # 24 labels a sheet
    assert never_said(text) == []
    assert never_said(text_of_pdf((home / "labels.pdf").read_bytes())) == []


def test_a_batch_is_read_back_from_its_csv(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = batch_files(home, 12)
    ran = inside(capsys, "report", "--batch", folder, "-o", "batch.csv", "--json")
    with (home / "batch.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    table = pandas.read_csv(home / "batch.csv")
    for k, (row, said) in enumerate(zip(rows, ran.result["rows"], strict=True)):
        assert list(row) == list(said)
        for key in ("tir_mm", "tir_low_mm", "high_point_deg", "limit_mm"):
            assert float(row[key]) == said[key] == table[key][k]
    assert rows[3]["part"] == "'=1+1"
    assert [int(row["number"]) for row in rows] == list(range(1, 13))


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--batch", "-o", "b.pdf"), "no part for a batch"),
        (("--batch", FOUND, "-o", "b.txt"), "ends in .html or .pdf or .csv"),
        (("--batch", FOUND, "--labels", "l.csv", "-o", "b.html"), "ends in .html or .pdf"),
        (("--batch", FOUND, "--label-grid", "9", "-o", "b.html"), "ACROSSxDOWN"),
        (("--batch", FOUND, "--lab", "-o", "b.html"), "leave --before"),
        ((FOUND, "--sampling", "all", "-o", "b.html"), "go with --batch"),
    ],
)
def test_a_batch_that_cannot_be_made_is_refused(
    words: tuple[object, ...], why: str, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = inside(capsys, "report", *words)
    assert ran.status == 2
    assert why in one_line(ran)


def test_an_invented_batch_is_marked_and_its_labels_too(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refused = RECORDINGS / "wind-pump-as-found-lost-counts" / "recording.mcap"
    ran = inside(capsys, "report", "--batch", LEFT, refused, "-o", "b.html", "--labels", "l.html")
    assert ran.status == 3
    assert "1 refused" in ran.out
    for name in ("b.html", "l.html"):
        text = text_of_html((home / name).read_text("utf-8"))
        assert "PRACTICE BENCH, INVENTED" in text
        assert "refused by a check" in text
