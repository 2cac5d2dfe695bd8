"""What the store adds to a page: entries of its registers, and a number that no other record has."""

import os
from pathlib import Path

import pytest
from pages_made import text_of_html, text_of_pdf
from running import inside, move_in, one_line
from written_sweeps import write_csv

from analysis.store import open_store
from logger.recording import sha256_of

Capsys = pytest.CaptureFixture[str]
SETUP = {
    "part": "hub 4",
    "serial": "A-017",
    "job": "J-88",
    "surface": "outside",
    "stage": "as left",
    "limit": "0.05 mm",
    "limit_source": "p. 12",
    "gauge_id": "DI-07",
    "gauge_error": "0.003 mm",
}
LAB = ("--lab", "--lab-name", "Bench laboratory", "--lab-address", "Mill lane 3")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capsys) -> Path:
    """A home whose registers know part and job of one sweep."""
    home = move_in(tmp_path, monkeypatch)
    write_csv(home / "left.csv", 0.03, 70.0, **SETUP)
    entered = (
        ("part", "add", "hub 4", "--serial", "A-017", "--drawing", "D-1093", "--customer", "Mill works"),
        (
            "job",
            "add",
            "J-88",
            "--customer",
            "River works",
            "--contact",
            "desk 3",
            "--received",
            "2026-11-20",
            "--condition",
            "cleaned, no burrs",
            "--place",
            "hall 3",
        ),
    )
    for words in entered:
        assert inside(capsys, *words).status == 0
    return home


def text_of(home: Path, name: str) -> str:
    return text_of_html((home / name).read_text())


def test_the_registers_of_part_and_job_stand_on_the_page(home: Path, capsys: Capsys) -> None:
    made = inside(capsys, "report", "left.csv", *LAB, "-o", "page.html", "--json")
    assert made.status == 0, made.err
    text = text_of(home, "page.html")
    assert "hub 4; serial A-017; drawing D-1093" in text
    assert "customer River works; contact desk 3; received 2026-11-20; condition cleaned, no burrs" in text
    assert "Place hall 3" in text
    assert not {"drawing", "customer", "contact", "date received", "condition", "place"} & set(
        made.result["not_recorded"]
    )
    # What is typed with the page holds before what was entered long ago.
    inside(capsys, "report", "left.csv", "--customer", "Weir works", "-o", "typed.html")
    assert "customer Weir works" in text_of(home, "typed.html")


def test_every_record_has_a_number_of_its_own_and_the_store_knows_it(home: Path, capsys: Capsys) -> None:
    made = [
        inside(capsys, "report", "left.csv", "-o", f"{k}.html", *more, "--json").result
        for k, more in enumerate(((), LAB))
    ]
    numbers = [one["number"] for one in made]
    assert [number[4:] for number in numbers] == ["-0001", "-0002"]
    assert f"No. {numbers[1]}" in text_of(home, "1.html")
    with open_store(home / "store.db") as store:
        records = [store.issued.find(number) for number in numbers]
    assert [one and (one.kind, one.sha256) for one in records] == [
        (kind, each["sha256"]) for kind, each in zip(("page", "lab"), made, strict=True)
    ]
    assert inside(capsys, "store", "status", "--json").result["reports"] == 2


def test_one_command_issues_one_record_in_two_forms(home: Path, capsys: Capsys) -> None:
    files = [word for name in ("a.pdf", "a.html", "a.csv") for word in ("-o", name)]
    made = inside(capsys, "report", "left.csv", *LAB, "--customer", "River works", *files, "--json").result
    assert (made["number"][4:], made["file"]) == ("-0001", "a.pdf")
    sums = {one["file"]: one["sha256"] for one in made["files"]}
    assert sums == {name: sha256_of(home / name) for name in ("a.pdf", "a.html", "a.csv")}
    for text in (text_of(home, "a.html"), text_of_pdf((home / "a.pdf").read_bytes())):
        assert f"No. {made['number']}" in text
        # A long word may be folded on paper.
        assert sums["a.csv"] in text.replace(" ", "")
    with open_store(home / "store.db") as store:
        record = store.issued.find(made["number"])
    assert record is not None
    assert [Path(record.file).name, *(Path(file).name for file, _ in record.other_forms)] == [
        "a.pdf",
        "a.html",
    ]
    assert [record.sha256, *(each for _, each in record.other_forms)] == [sums["a.pdf"], sums["a.html"]]
    assert [sha256 for _, sha256 in record.contents] == [sha256_of(home / "left.csv")]
    # The annex is the file that `export` writes.
    assert inside(capsys, "export", "left.csv", "-o", "b.csv").status == 0
    assert (home / "a.csv").read_bytes() == (home / "b.csv").read_bytes()


def test_of_two_sweeps_each_has_its_readings(home: Path, capsys: Capsys) -> None:
    write_csv(home / "found.csv", 0.09, 70.0, **{**SETUP, "stage": "as found"})
    files = ("-o", "r.html", "-o", "r.csv")
    ran = inside(capsys, "report", "found.csv", "left.csv", *LAB, "--customer", "River works", *files)
    assert "Readings: r-as-found.csv\nReadings: r-as-left.csv" in ran.out, ran.err
    assert sha256_of(home / "r-as-found.csv") in text_of(home, "r.html")
    again = inside(
        capsys, "report", "left.csv", *LAB, "--customer", "River works", "-o", "s.html", "-o", "r-as-left.csv"
    )
    assert (again.status, (home / "s.html").exists()) == (2, False)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "a.html", "-o", "a.csv"), "readings go with --lab"),
        (("-o", "a.html", "-o", "a.html"), "twice"),
        (("--lab", "-o", "a.csv"), "is the annex of a page"),
        (("--batch", "-o", "a.html", "-o", "a.pdf"), "--batch writes one file"),
    ],
)
def test_files_that_do_not_go_together_are_refused(
    home: Path, capsys: Capsys, words: tuple[str, ...], said: str
) -> None:
    assert said in one_line(inside(capsys, "report", "left.csv", *words))
    assert not list(home.glob("a.*"))


def test_where_one_form_cannot_be_written_there_is_none(
    home: Path, capsys: Capsys, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, asked = os.fsync, []

    def full_at_the_second(number: int) -> None:
        asked.append(number)
        if len(asked) == 2:
            raise OSError(28, "No space left on device")
        real(number)

    monkeypatch.setattr("os.fsync", full_at_the_second)
    assert inside(capsys, "report", "left.csv", "-o", "a.html", "-o", "a.pdf").status == 2
    assert not list(home.glob("*a.*"))


def test_an_amendment_names_a_record_that_was_issued(home: Path, capsys: Capsys) -> None:
    first = inside(capsys, "report", "left.csv", "-o", "a.html", "--json").result["number"]
    why = ("--reason", "wrong radius")
    assert inside(capsys, "report", "left.csv", "--amends", first, *why, "-o", "b.html").status == 0
    assert f"Amends {first}: wrong radius" in text_of(home, "b.html")
    ran = inside(capsys, "report", "left.csv", "--amends", "1999-0001", *why, "-o", "c.html")
    assert ran.status == 2
    assert "found no record '1999-0001'" in one_line(ran)
    assert not (home / "c.html").exists()


def test_what_cannot_be_written_takes_no_number(
    home: Path, capsys: Capsys, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as full:
        full.setattr("os.fsync", lambda _: (_ for _ in ()).throw(OSError(28, "No space left on device")))
        assert inside(capsys, "report", "left.csv", "-o", "a.html").status == 2
    made = inside(capsys, "report", "left.csv", "-o", "a.html", "--json").result
    assert made["number"].endswith("-0001")
