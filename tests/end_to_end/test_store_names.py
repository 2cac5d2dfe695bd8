"""``store:...`` wherever a recording's file stands: the same answer as of the file, or a refusal that names it."""

import shutil
from pathlib import Path

import pytest
from places import RECORDINGS
from running import Ran, inside, move_in, one_line
from store_rows import recording

from analysis.store import open_store
from logger.__main__ import run
from logger.recording import RecordingReader, sha256_of

Capsys = pytest.CaptureFixture[str]
PART = "bull-gear flange"
FOUND, LEFT = "as-found.mcap", "as-left.mcap"


@pytest.fixture(scope="module")
def stored_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store of two recordings of the wind pump: turns 1 to 5 as found, 6 to 10 as left."""
    home = tmp_path_factory.mktemp("stored")
    with pytest.MonkeyPatch.context() as patch:
        move_in(home, patch)
        for name in (FOUND, LEFT):
            shutil.copy(RECORDINGS / f"wind-pump-{name.removesuffix('.mcap')}" / "recording.mcap", name)
            assert run(["store", "add", str(home / name)]) == 0
    return home


@pytest.fixture
def home(stored_once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of it, with its files beside it."""
    home = move_in(shutil.copytree(stored_once, tmp_path / "home"), monkeypatch)
    with open_store(home / "store.db") as store:
        for one in list(store.upkeep.files()):
            store.upkeep.file_lies_at(one.recording_id, str(home / Path(one.file).name))
    return home


def refusal(capsys: Capsys, *words: str) -> str:
    ran: Ran = inside(capsys, *words)
    assert ran.status == 2
    return one_line(ran)


def test_what_is_compared_by_its_numbers_is_what_is_compared_by_its_files(home: Path, capsys: Capsys) -> None:
    files = inside(capsys, "compare", str(home / FOUND), str(home / LEFT), "--json")
    assert inside(capsys, "compare", "store:1", "store:6", "--json").out == files.out
    assert (
        inside(capsys, "compare", f"store:{PART}/as-found", f"store:{PART}/as left", "--json").out
        == files.out
    )


@pytest.mark.parametrize(
    "words",
    [
        ("sweep", "{}"),
        ("sweep", "{}", "--sag", "{}", "--set", "turning=indicator"),
        ("check-file", "{}"),
        ("separate", "{}@0", "{}@180"),
        ("backlash", "0:0.13 90:0.17 180:0.16 270:0.12 mm", "--sweep", "{}"),
        ("plan-cut", "--bearings", "{}", "--mounting", "{}@10"),
    ],
    ids=" ".join,
)
def test_every_command_takes_it_where_it_takes_a_file(
    home: Path, capsys: Capsys, words: tuple[str, ...]
) -> None:
    by_file = inside(capsys, *(word.format(home / FOUND) for word in words))
    by_name = inside(capsys, *(word.format("store:1") for word in words))
    assert by_file.out, by_file.err
    assert by_name == by_file


def test_an_identity_may_be_shortened_and_the_store_named_after_it(home: Path, capsys: Capsys) -> None:
    identity = RecordingReader(FOUND).origin.recording_id
    (home / "store.db").rename(home / "other.db")
    ran = inside(capsys, "check-file", f"store:rec/{identity[:8]}", "--store", "other.db", "--json")
    assert ran.result["sha256"] == sha256_of(home / FOUND)


def test_the_newest_of_a_stage_is_meant(home: Path, capsys: Capsys) -> None:
    inside(
        capsys, "record", "practice:wind-pump/as-left", "--turns", "2", "--out", "newer.mcap", "--seed", "4"
    )
    with open_store(home / "store.db") as store:
        begun = {row.file: row for row in store.upkeep.files()}
    assert len(begun) == 3
    newest = max((home / LEFT, home / "newer.mcap"), key=lambda path: RecordingReader(path).origin.started)
    ran = inside(capsys, "check-file", f"store:{PART}/as-left", "--json")
    assert ran.result["sha256"] == sha256_of(newest)


def test_of_a_file_that_is_gone_the_stored_vectors_are_compared(home: Path, capsys: Capsys) -> None:
    by_file = inside(capsys, "compare", "store:1", "store:6", "--json").result
    (home / FOUND).unlink()
    text = inside(capsys, "compare", "store:1", "store:6")
    assert text.status == 0
    assert "store:1: from stored vectors, not from readings" in text.out
    ran = inside(capsys, "compare", "store:1", "store:6", "--json").result
    assert (ran["before"]["from_stored_vectors"], ran["after"]["from_stored_vectors"]) == (True, False)
    # Vectors are stored to every digit. Their covariance is made from order 1 along itself and across, as if
    # the two were independent: a tenth of a micrometre at the ends.
    for key in ("change_first_mm", "change_first_part_deg"):
        assert ran[key] == pytest.approx(by_file[key], rel=1e-12)
    assert ran["change_first_95_mm"] == pytest.approx(by_file["change_first_95_mm"], abs=1e-4)
    assert ran["u_change_first_mm"] == pytest.approx(by_file["u_change_first_mm"], rel=0.05)
    assert ran["u_change_deg"] == pytest.approx(by_file["u_change_deg"], rel=0.05)
    same = {key: value for key, value in by_file["before"].items() if key in ran["before"]}
    for key in ("tir_fit_mm", "tir_fit_95_mm", "high_point_deg", "turns", "part", "stage"):
        assert ran["before"][key] == same[key]
    (home / LEFT).unlink()
    both = inside(capsys, "compare", f"store:{PART}/as-found", "store:6", "--json")
    assert both.status == 0
    assert both.result["change_first_mm"] == pytest.approx(by_file["change_first_mm"], rel=1e-12)


def test_stored_vectors_are_not_analysed_anew_and_no_other_command_takes_them(
    home: Path, capsys: Capsys
) -> None:
    (home / FOUND).unlink()
    line = refusal(capsys, "compare", "store:1", "store:6", "--set", "gauge_delay=30 +- 10 ms")
    assert "stored vectors cannot be analysed with gauge_delay" in line
    assert "is missing" in refusal(capsys, "separate", "store:1@0", "store:6@180")


def test_an_altered_file_is_refused_and_named(home: Path, capsys: Capsys) -> None:
    with (home / FOUND).open("r+b") as file:
        file.seek(2_000)
        byte = file.read(1)
        file.seek(2_000)
        file.write(bytes([byte[0] ^ 1]))
    line = refusal(capsys, "sweep", "store:1")
    assert f"{home / FOUND} has the SHA-256" in line
    assert "altered since it was recorded" in line
    assert "put the right file back" in line


def test_a_missing_file_is_refused_with_how_it_is_found_again(home: Path, capsys: Capsys) -> None:
    (home / "moved").mkdir()
    shutil.move(home / FOUND, home / "moved")
    assert "is missing: `fullturn store find FOLDER`" in refusal(capsys, "sweep", "store:1")
    inside(capsys, "store", "find", "moved")
    assert inside(capsys, "sweep", "store:1").status == 1


def test_a_recording_that_was_never_finished_is_refused(home: Path, capsys: Capsys) -> None:
    with open_store(home / "store.db") as store:
        store.begin_recording(recording("unfinished"))
    assert "never finished in the store" in refusal(capsys, "sweep", "store:rec/unfin")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("store:11", "has no turn 11"),
        ("store:rec/zz", "no recording in .* has an identity that begins so"),
        ("store:rec/", "no recording in .* has an identity that begins so"),
        ("store:flange", "names no recording: write store:TURN"),
        ("store:/as-left", "names no recording"),
        (f"store:{PART}/left", "'left' is no stage; write one of as-found"),
        (f"store:{PART}/half-turn", f"no recording of '{PART}' at half turn"),
    ],
)
def test_a_name_that_fits_nothing_is_refused(home: Path, capsys: Capsys, name: str, words: str) -> None:
    with pytest.raises(AssertionError, match=words):
        raise AssertionError(refusal(capsys, "sweep", name))


def test_a_name_that_fits_several_is_refused_with_what_they_are(home: Path, capsys: Capsys) -> None:
    with open_store(home / "store.db") as store:
        for serial in ("1", "2"):
            setup = {"part": "hub", "serial": serial}
            store.begin_recording(recording(f"aa-{serial}", part="hub", setup=setup))
    assert "may be several recordings (aa-1, aa-2)" in refusal(capsys, "sweep", "store:rec/aa")
    line = refusal(capsys, "sweep", "store:hub/as-found")
    assert "parts of 2 serials" in line
    assert "store:rec/aa-1, store:rec/aa-2" in line


def test_a_page_is_made_of_stored_recordings(home: Path, capsys: Capsys) -> None:
    ran = inside(capsys, "report", "store:1", "store:6", "-o", "page.html", "--json")
    assert ran.status == 0, ran.err
    assert (home / "page.html").stat().st_size > 10_000
