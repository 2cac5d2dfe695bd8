"""What the store adds to a page: entries of its registers, and a number that no other record has."""

from pathlib import Path

import pytest
from pages_made import text_of_html
from running import inside, move_in, one_line
from written_sweeps import write_csv

from analysis.store import open_store

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
