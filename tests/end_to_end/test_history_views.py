"""The history as a person asks for it: narrowed, put together, in time."""

from pathlib import Path

import pandas
import pytest
from made_histories import add_sweep, result_of
from running import inside, move_in, one_line

from analysis.store import open_store

Capsys = pytest.CaptureFixture[str]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store of two parts over three months, and a part that became worse."""
    home = move_in(tmp_path, monkeypatch)
    with open_store(home / "store.db") as store:
        for month, tir_mm in enumerate((0.030, 0.036, 0.041), 1):
            state = "within" if month < 3 else "undecided"
            add_sweep(store, f"aaa-{month}", f"2026-0{month}-05T08:00:00Z", result_of(tir_mm, state=state))
        add_sweep(
            store, "bbb-1", "2026-03-09T08:00:00Z", result_of(0.09, state="over"), part="hub", job="J-1"
        )
    return home


def test_turns_are_narrowed(home: Path, capsys: Capsys) -> None:
    for words, expected in (
        (("--job", "J-1"), ["bbb-1"]),
        (("--since", "2026-02-05", "--until", "2026-03-05"), ["aaa-2", "aaa-3"]),
        (("--state", "over"), ["bbb-1"]),
        (("flange", "--state", "within", "--until", "2026-01-31"), ["aaa-1"]),
    ):
        turns = inside(capsys, "history", *words, "--json").result["turns"]
        assert [turn["recording_id"] for turn in turns] == expected


def test_recordings_tell_value_interval_and_limit(home: Path, capsys: Capsys) -> None:
    found = inside(capsys, "history", "hub", "--by", "recording", "--json").result["recordings"]
    (one,) = found
    assert (one["value_mm"], one["low_mm"], one["high_mm"], one["limit_mm"]) == (0.09, 0.086, 0.094, 0.05)
    assert (one["state"], one["ended"], one["job"]) == ("over", "closed", "J-1")
    text = inside(capsys, "history", "--by", "recording").out
    assert "rec/bbb-1  2026-03-09T08:00:00Z  hub" in text
    assert "0.0900 mm (0.0860 mm to 0.0940 mm)" in text


def test_groups_count_by_state(home: Path, capsys: Capsys) -> None:
    groups = inside(capsys, "history", "--by", "part", "--json").result["groups"]
    counted = [[one[key] for key in ("of", "within", "over", "undecided", "none")] for one in groups]
    assert counted == [["flange", 2, 0, 1, 0], ["hub", 0, 1, 0, 0]]
    assert "2026-03 " in inside(capsys, "history", "--by", "month").out


def test_a_trend_is_told_with_its_slope_and_drawn(home: Path, capsys: Capsys) -> None:
    found = inside(capsys, "history", "flange", "--trend", "--json").result["trend"]
    low, high = found["slope_95"]
    assert low < found["slope_mm_per_month"] < high
    assert found["slope_mm_per_month"] == pytest.approx(0.0057, abs=2e-4)
    ran = inside(capsys, "history", "flange", "--trend")
    assert ran.first_line.startswith("TIR of 'flange' over 3 recordings: ")
    pictures = [line.partition("[")[2] for line in ran.out.splitlines() if line.endswith("]")]
    assert [line.count("o") for line in pictures] == [1, 1, 1]
    assert [line.index("o") for line in pictures] == sorted(line.index("o") for line in pictures)
    assert {line.index("|") for line in pictures} == {35}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--trend",), "--trend without PART"),
        (("--serial", "1"), "--serial without PART"),
        (("--since", "31.1.2026"), "--since '31.1.2026' is no day: write it as 2026-01-31"),
        (("--since", "2026-02-01", "--until", "2026-01-01"), "--until 2026-01-01 is before --since"),
        (("--stage", "leftish"), "--stage 'leftish' is not one of as found"),
    ],
)
def test_what_says_nothing_is_refused(home: Path, capsys: Capsys, words: tuple[str, ...], said: str) -> None:
    assert said in one_line(inside(capsys, "history", *words))


def test_a_row_a_recording_is_written_and_read_by_a_spreadsheet(home: Path, capsys: Capsys) -> None:
    with open_store(home / "store.db") as store:
        add_sweep(store, "odd", "2026-05-01T08:00:00Z", None, part="=1+1", job="-7")
    assert inside(capsys, "history", "--csv", "all.csv").status == 0
    table = pandas.read_csv(home / "all.csv")
    listed = inside(capsys, "history", "--by", "recording", "--json").result["recordings"]
    assert list(table.columns) == list(listed[0])
    assert table["value_mm"].tolist()[:4] == [one["value_mm"] for one in listed][:4]
    assert table["recording_id"].tolist() == [one["recording_id"] for one in listed]
    assert (table["part"].iloc[-1], table["job"].iloc[-1]) == ("'=1+1", "'-7")
    assert pandas.isna(table["value_mm"].iloc[-1])
    refused = one_line(inside(capsys, "history", "--csv", "all.csv"))
    assert "all.csv" in refused


def test_a_trend_of_what_no_recording_holds_says_so(home: Path, capsys: Capsys) -> None:
    ran = inside(capsys, "history", "flange", "--trend", "--quantity", "eccentricity")
    assert (ran.status, ran.first_line.startswith("None of ")) == (0, True)


@pytest.mark.parametrize(("kind", "begins"), [("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF")])
def test_a_trend_is_drawn_into_a_file(home: Path, capsys: Capsys, kind: str, begins: bytes) -> None:
    assert inside(capsys, "history", "flange", "--trend", "--figure", f"trend.{kind}").status == 0
    assert (home / f"trend.{kind}").read_bytes().startswith(begins)
    assert "--figure without --trend or --chart" in one_line(
        inside(capsys, "history", "--figure", f"other.{kind}")
    )


def test_a_view_of_nothing_says_so(home: Path, capsys: Capsys) -> None:
    assert inside(capsys, "history", "--by", "recording", "--job", "none", "--json").result == {
        "recordings": []
    }
    assert inside(capsys, "history", "disc", "--trend", "--json").result["trend"]["points"] == []
    assert inside(capsys, "history", "disc", "--trend").first_line.startswith(
        "No turns of 'disc' in the store"
    )


def test_fifty_turns_are_printed_and_all_are_counted(home: Path, capsys: Capsys) -> None:
    with open_store(home / "store.db") as store:
        for k in range(50):
            add_sweep(store, f"ccc-{k}", "2026-04-01T08:00:00Z", result_of(0.03))
    ran = inside(capsys, "history")
    assert ran.first_line.startswith("54 turns in ")
    assert "The newest 50 of 54 turns; --last N shows more or fewer." in ran.out
    assert ran.out.count("2026-04-01") == 50
    assert ran.out.count("2026-03-09") == 0
    assert len(inside(capsys, "history", "--json").result["turns"]) == 54
    assert inside(capsys, "history", "--last", "54").out.count("flange") == 53
