"""The store and its register by commands: gauges that hold, files held to their checksums, copies, mistakes."""

import shutil
from pathlib import Path
from typing import Any

import pytest
from places import FROZEN_STORE, RECORDINGS
from running import Ran, inside, move_in, one_line

from analysis.store import open_store

FOUND, LEFT = "practice:wind-pump/as-found", "practice:wind-pump/as-left"
CALIBRATED = (
    "gauge",
    "add",
    "DI-07",
    "--certificate",
    "C-4711",
    "--due",
    "2026-12-31",
    "--error",
    "0.003 mm",
)
Capsys = pytest.CaptureFixture[str]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return move_in(tmp_path, monkeypatch)


def recorded(capsys: Capsys, *more: str) -> dict[str, Any]:
    ran = inside(capsys, "record", LEFT, "--turns", "3", "--set", "gauge_id=DI-07", *more, "--json")
    assert ran.out, ran.err
    return ran.result


def check_of(result: dict[str, Any], name: str) -> dict[str, Any] | None:
    return next((check for check in result["checks"] if check["name"] == name), None)


# --- looking makes nothing -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words", [("store", "status"), ("gauge", "list"), ("part", "list"), ("job", "list"), ("history",)]
)
def test_looking_at_a_store_that_is_not_there_makes_none(
    home: Path, capsys: Capsys, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.delenv("FULLTURN_STORE")
    assert inside(capsys, *words).status == 0
    assert inside(capsys, *words, "--json").status == 0
    assert list(home.iterdir()) == []


def test_the_status_of_a_store_counts_what_it_holds(home: Path, capsys: Capsys) -> None:
    recorded(capsys, "--set", "serial=0017", "--set", "job=4711")
    status = inside(capsys, "store", "status", "--json").result
    counted = {name: status[name] for name in ("recordings", "turns", "decisions", "parts", "jobs", "gauges")}
    assert counted == {"recordings": 1, "turns": 3, "decisions": 1, "parts": 1, "jobs": 1, "gauges": 1}
    assert (status["closed"], status["interrupted"], status["damage"]) == (1, 0, [])


# --- the register ----------------------------------------------------------------------------------------


def test_a_calibration_in_the_register_holds_for_the_recording_that_names_its_gauge(
    home: Path, capsys: Capsys
) -> None:
    assert inside(capsys, *CALIBRATED).status == 0
    result = recorded(capsys)
    assert result["setup"]["gauge_error"] == "0.003 mm"
    assert result["setup"]["gauge_certificate"] == "C-4711"
    (line,) = [line for line in result["budget"] if line["source"] == "gauge's own error"]
    # Limits of error on a difference of two readings (JCGM 100:2008, 4.3.7 and 5.1.2): a sqrt(2 / 3).
    assert line["u_mm"] == pytest.approx(0.003 * (2 / 3) ** 0.5, rel=1e-12)
    assert line["from"] == "certificate"
    found = check_of(result, "gauge-register")
    assert found is not None
    assert found["state"] == "clear"
    (calibration,) = inside(capsys, "gauge", "show", "DI-07", "--json").result["calibrations"]
    assert (calibration["source"], calibration["recordings"]) == ("register", 1)


def test_what_is_typed_beside_the_register_is_doubtful_and_not_used(home: Path, capsys: Capsys) -> None:
    inside(capsys, *CALIBRATED)
    result = recorded(capsys, "--set", "gauge_error=0.001 mm")
    assert result["setup"]["gauge_error"] == "0.003 mm"
    found = check_of(result, "gauge-register")
    assert found is not None
    assert found["state"] == "doubtful"
    assert "gauge_error '0.001 mm' was typed and '0.003 mm' is in the register" in found["text"]


def test_a_recording_keeps_the_calibration_that_held_when_it_was_made(home: Path, capsys: Capsys) -> None:
    inside(capsys, *CALIBRATED)
    recorded(capsys, "--out", "a.mcap")
    inside(capsys, *CALIBRATED[:-1], "0.002 mm")
    recorded(capsys, "--out", "b.mcap")
    newer, older = inside(capsys, "gauge", "show", "DI-07", "--json").result["calibrations"]
    assert [(one["error_mm"], one["recordings"]) for one in (older, newer)] == [(0.003, 1), (0.002, 1)]
    assert newer["replaces"] == older["gauge_id"]
    # The file says it by itself: in another store without a register it is the same.
    alone = inside(capsys, "sweep", "a.mcap", "--json").result
    assert alone["setup"]["gauge_error"] == "0.003 mm"


def test_a_gauge_that_nobody_entered_is_known_from_its_set_up_only(home: Path, capsys: Capsys) -> None:
    result = recorded(capsys)
    assert check_of(result, "gauge-register") is None
    (gauge,) = inside(capsys, "gauge", "list", "--json").result["gauges"]
    assert (gauge["id"], gauge["source"]) == ("DI-07", "set-up")


def test_parts_are_told_apart_by_serial_and_come_with_their_sweeps(home: Path, capsys: Capsys) -> None:
    inside(capsys, "part", "add", "bull-gear flange", "--serial", "0018", "--drawing", "D-1")
    recorded(capsys, "--set", "serial=0017", "--set", "job=4711")
    first, second = inside(capsys, "part", "show", "bull-gear flange", "--json").result["parts"]
    assert (first["serial"], len(first["sweeps"]), first["sweeps"][0]["state"]) == ("0017", 1, "within")
    assert (second["serial"], second["drawing"], second["sweeps"]) == ("0018", "D-1", [])
    job = inside(capsys, "job", "show", "4711", "--json").result["job"]
    assert [sweep["part"] for sweep in job["sweeps"]] == ["bull-gear flange"]


# --- files -----------------------------------------------------------------------------------------------


@pytest.fixture
def kept(home: Path, capsys: Capsys) -> Path:
    """A home whose store has two recordings."""
    for name in ("found", "left"):
        shutil.copy(RECORDINGS / f"wind-pump-as-{name}" / "recording.mcap", home / f"{name}.mcap")
        assert inside(capsys, "store", "add", f"{name}.mcap").status == 0
    return home


def checked(capsys: Capsys, status: int) -> dict[str, list[str]]:
    ran = inside(capsys, "store", "check", "--json")
    assert ran.status == status
    return {
        how: [Path(one.get("file") or one["found"]).name for one in ran.result[how]]
        for how in ("moved", "altered", "missing", "unfinished")
        if ran.result[how]
    }


def test_a_flipped_bit_is_found_and_named(kept: Path, capsys: Capsys) -> None:
    assert checked(capsys, 0) == {}
    content = bytearray((kept / "left.mcap").read_bytes())
    content[len(content) // 2] ^= 1
    (kept / "left.mcap").write_bytes(content)
    assert checked(capsys, 2) == {"altered": ["left.mcap"]}


def test_what_was_moved_is_found_again_by_content(kept: Path, capsys: Capsys) -> None:
    (kept / "away" / "deep").mkdir(parents=True)
    (kept / "left.mcap").rename(kept / "away" / "deep" / "other name.mcap")
    assert checked(capsys, 2) == {"missing": ["left.mcap"]}
    found = inside(capsys, "store", "find", "away", "--json").result
    assert [Path(one["found"]).name for one in found["linked"]] == ["other name.mcap"]
    assert checked(capsys, 0) == {}


def test_a_backup_is_a_store_of_its_own_and_replaces_nothing(kept: Path, capsys: Capsys) -> None:
    assert inside(capsys, "store", "backup", "copy.db").status == 0
    assert (
        inside(capsys, "history", "--json", "--store", "copy.db").result
        == inside(capsys, "history", "--json").result
    )
    again = inside(capsys, "store", "backup", "copy.db")
    assert again.status == 2
    assert "found a file there, expected none: name another one" in one_line(again)
    assert sorted(path.name for path in kept.glob("*.db*")) == ["copy.db", "store.db"]


# --- mistakes --------------------------------------------------------------------------------------------

MISTAKES = [
    ("store status takes nothing and found 'a.mcap': leave out", ("store", "status", "a.mcap")),
    ("store find says no FOLDER: write it after it", ("store", "find")),
    ("nowhere is no folder: name the one", ("store", "find", "nowhere")),
    ("store add says no FILE...: write it after it", ("store", "add")),
    ("does not end in .db: name the copy so", ("store", "backup", "copy")),
    ("found no folder 'nowhere', expected one: make it", ("store", "backup", "nowhere/a.db")),
    ("gauge 'ad' is not one of add, list, show; did you mean add?", ("gauge", "ad", "X")),
    ("gauge alone does nothing: write one of add, list, show after it", ("gauge",)),
    ("the gauge's ID is empty: write it as it stands on the thing itself", ("gauge", "add", " ")),
    ("--due '31.1.2027' is no date: write it like", ("gauge", "add", "X", "--due", "31.1.2027")),
    ("--error '0.003' has no unit: write it with one", ("gauge", "add", "X", "--error", "0.003")),
    ("--error '0 mm' is not above zero", ("gauge", "add", "X", "--error", "0 mm")),
    ("at least two different readings", ("gauge", "add", "X", "--table", "0:0 mm")),
    ("says something of an error that is not there: add --error", ("gauge", "add", "X", "--means", "u")),
    (
        "--due 2026-01-01 is before --certified 2026-02-01",
        ("gauge", "add", "X", "--due", "2026-01-01", "--certified", "2026-02-01"),
    ),
    ("--who 'Anna Berg' is a name: write initials, as AB", ("gauge", "add", "X", "--who", "Anna Berg")),
    ("indicator 'X' is not in the store: `fullturn gauge list` names", ("gauge", "show", "X")),
    ("part 'X' is not in the store: `fullturn part list` names", ("part", "show", "X")),
    ("job 'X' is not in the store: `fullturn job list` names", ("job", "show", "X")),
    ("--received 'May' is no date: write it like", ("job", "add", "X", "--received", "May")),
    ("found part 'bull-gear flange' without a serial", ("part", "add", "bull-gear flange")),
    ("found job 'wind-pump gearbox, demo', expected one", ("job", "add", "wind-pump gearbox, demo")),
    ("temperature '20' does not end in C or F", ("record", FOUND, "--set", "temperature=20")),
    ("temperature '900 C' is not from -50 to 150 C", ("record", FOUND, "--set", "temperature=900 C")),
]


@pytest.fixture(scope="module")
def brought_up(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with one part and one job."""
    path = Path(shutil.copy(FROZEN_STORE, tmp_path_factory.mktemp("kept") / "store.db"))
    open_store(path).close()
    return path


@pytest.mark.parametrize(("words", "typed"), MISTAKES)
def test_a_typed_mistake_is_refused_in_one_line(
    home: Path, brought_up: Path, capsys: Capsys, words: str, typed: tuple[str, ...]
) -> None:
    before = Path(shutil.copy(brought_up, home / "store.db")).read_bytes()
    ran: Ran = inside(capsys, *typed)
    assert (ran.status, ran.out) == (2, "")
    assert words in one_line(ran)
    assert (home / "store.db").read_bytes() == before


def test_the_same_calibration_is_not_entered_twice(home: Path, capsys: Capsys) -> None:
    assert inside(capsys, *CALIBRATED).status == 0
    assert "is entered so already (row 1)" in one_line(inside(capsys, *CALIBRATED))
    assert len(inside(capsys, "gauge", "list", "--all", "--json").result["gauges"]) == 1
