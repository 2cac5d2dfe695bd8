"""Files that are damaged, empty, newer or something else: one line that names them, nothing overwritten."""

from pathlib import Path

import pytest
from boards import newer_hello
from mcap.writer import CompressionType, Writer
from running import Ran, inside, one_line, practice_file, refusals
from small_recordings import heartbeat, hello, host, sample, write
from store_rows import longer_ladder

from analysis.store import SCHEMA_VERSION, open_store
from logger.recording.layout import PROFILE
from logger.stream import LinkBytes
from logger.wire.framing import encode_frame
from logger.wire.messages import Channel

# --- files ------------------------------------------------------------------------------------------------


def test_a_file_that_is_no_recording(home: Path, capsys: pytest.CaptureFixture[str]):
    Path("notes.mcap").write_text("hello there\n")
    for line in refusals(capsys, 2, "sweep", "notes.mcap"):
        assert "begins with 'hello th', expected an MCAP file; name a file that fullturn recorded" in line


@pytest.mark.parametrize("command", ["sweep", "check-file"])
def test_a_file_of_no_bytes(command: str, home: Path, capsys: pytest.CaptureFixture[str]):
    Path("empty.mcap").touch()
    for line in refusals(capsys, 2, command, "empty.mcap"):
        assert "is empty: nothing was ever recorded in it; name another file" in line


def test_a_recording_without_any_frame(home: Path, capsys: pytest.CaptureFixture[str]):
    write(Path("still.mcap"), [])
    for line in refusals(capsys, 2, "sweep", "still.mcap"):
        assert "no hello was found in these bytes" in line


def test_a_recording_without_samples(home: Path, capsys: pytest.CaptureFixture[str]):
    board = practice_board(heartbeats=8)
    write(Path("still.mcap"), [LinkBytes(host(0), board)])
    for line in refusals(capsys, 2, "sweep", "still.mcap"):
        assert "no samples with an angle in this sweep" in line


def practice_board(heartbeats: int) -> bytes:
    """Return what a board sends that is never asked to stream."""
    channel = encode_frame(Channel(1, 0, 0, 1, 0, 1000, 1, -12700, 12700, "indicator").encode())
    return hello(0, 0) + channel + b"".join(heartbeat(2 + k, 500_000 * k) for k in range(heartbeats))


def test_a_recording_with_samples_and_no_turn(home: Path, capsys: pytest.CaptureFixture[str]):
    practice_file(Path("float.mcap"), "wind-pump/end-float")
    for line in refusals(capsys, 2, "sweep", "float.mcap"):
        assert "turn at least once right round past the mark" in line


def test_an_end_float_capture_is_called_by_its_name(home: Path, capsys: pytest.CaptureFixture[str]):
    practice_file(Path("float.mcap"), "wind-pump/end-float")
    (line, _) = refusals(capsys, 2, "sweep", "float.mcap")
    assert line.startswith("this is an end-float capture")


def test_a_newer_wire_in_a_recording(home: Path, capsys: pytest.CaptureFixture[str]):
    write(Path("new.mcap"), [LinkBytes(host(0), newer_hello() + sample(1, 5000))])
    for line in refusals(capsys, 2, "sweep", "new.mcap"):
        assert "the board speaks version 2 of the wire, this program version 1: update the program" in line


def test_a_newer_format_of_recordings(home: Path, capsys: pytest.CaptureFixture[str]):
    with Path("new.mcap").open("wb") as file:
        writer = Writer(file, compression=CompressionType.NONE, use_chunking=False)
        writer.start(PROFILE, "fullturn 9")
        writer.add_metadata("origin", {"recording_id": "r", "started": "s", "fullturn": "9", "format": "2"})
        writer.finish()
    for line in refusals(capsys, 2, "sweep", "new.mcap"):
        assert "format 2" in line
        assert "newer version of fullturn" in line


@pytest.fixture
def newer_store(home: Path) -> Path:
    open_store(home / "new.db", ladder=longer_ladder(home / "ladder")).close()
    return home / "new.db"


def test_a_newer_store_is_not_read(newer_store: Path, capsys: pytest.CaptureFixture[str]):
    for line in refusals(capsys, 2, "history", "--store", newer_store):
        assert f"found version {SCHEMA_VERSION + 1}, expected at most {SCHEMA_VERSION}" in line


@pytest.fixture
def refused_by_the_store(newer_store: Path, capsys: pytest.CaptureFixture[str]) -> Ran:
    arguments = ("--turns", "1", "--out", "kept.mcap", "--store", newer_store, "--json")
    return inside(capsys, "record", "practice:wind-pump", *arguments)


def test_a_recording_whose_store_refuses_ends_with_2(refused_by_the_store: Ran):
    assert (refused_by_the_store.status, refused_by_the_store.out) == (2, "")


def test_a_recording_whose_store_refuses_is_never_begun(refused_by_the_store: Ran):
    assert f"found version {SCHEMA_VERSION + 1}" in one_line(refused_by_the_store)
    assert not Path("kept.mcap").exists()


@pytest.mark.parametrize("command", ["practice", "record", "export"])
def test_a_file_that_exists_is_never_overwritten(
    command: str, home: Path, capsys: pytest.CaptureFixture[str]
):
    kept = Path("mine.csv" if command == "export" else "mine.mcap")
    kept.write_text("mine")
    arguments = {
        "practice": ("practice", "wind-pump", "--write", kept),
        "record": ("record", "practice:wind-pump", "--turns", "1", "--out", kept),
        "export": ("export", "practice:wind-pump", "-o", kept),
    }[command]
    (line,) = refusals(capsys, 2, *arguments, json=False)
    assert f"{kept} exists already" in line
    assert kept.read_text() == "mine"


def test_a_set_up_file_that_is_no_toml(home: Path, capsys: pytest.CaptureFixture[str]):
    Path("bad.toml").write_text("part = \n")
    for line in refusals(capsys, 2, "sweep", "practice:wind-pump", "--setup", "bad.toml"):
        assert "bad.toml is no TOML" in line


def test_settings_that_are_no_toml(home: Path, capsys: pytest.CaptureFixture[str]):
    Path("config").mkdir()
    Path("config/fullturn.toml").write_text("units = \n")
    for line in refusals(capsys, 2, "settings"):
        assert "fullturn.toml is no TOML" in line


def test_a_file_in_the_data_folders_place(home: Path, capsys: pytest.CaptureFixture[str]):
    Path("data").write_text("no folder")
    for line in refusals(capsys, 2, "record", "practice:wind-pump", "--turns", "1"):
        assert "cannot be made: File exists; name another with FULLTURN_DATA or --out" in line


# --- CSV --------------------------------------------------------------------------------------------------

ROWS = [f"{deg},{deg / 1000:.3f}" for deg in range(0, 360, 5)]


def csv_of(*lines: str, header: str = "angle_deg,reading_mm") -> str:
    return "\n".join([header, *ROWS[:3], *lines, *ROWS[3:]]) + "\n"


BAD_CSV = {
    "NaN": (csv_of("20,nan"), "line 5: reading_mm is 'nan', expected a number"),
    "infinity": (csv_of("20,inf"), "line 5: reading_mm is 'inf', expected a number"),
    "text": (csv_of("20,worn"), "line 5: reading_mm is 'worn', expected a number"),
    "an empty cell": (csv_of("20,"), "line 5: reading_mm is '', expected a number"),
    "an angle in words": (csv_of("north,0.1"), "line 5: angle_deg is 'north', expected a number"),
    "a short line": (csv_of("20"), "line 5: 1 values, expected 2: complete the line"),
    "a line that lost nothing to its set-up": ("# part = disc\n" + csv_of("20,nan"), "line 6:"),
    "no angles": (csv_of(header="hole,reading_mm"), "expected angle_deg and one of reading_mm"),
    "no unit": (csv_of(header="angle_deg,reading"), "expected angle_deg and one of reading_mm"),
    "a unit that is none": (csv_of(header="angle_deg,reading_kg"), "one of reading_mm, reading_um"),
    "two columns of readings": (
        "angle_deg,reading_mm,reading_in\n0,0,0\n",
        "expected angle_deg and one of reading_mm",
    ),
    "two readings": ("angle_deg,reading_mm\n0,0\n180,1\n", "holds 2 readings: at least 3 are needed"),
    "no line at all": ("", "is empty: expected a line of column names"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD_CSV)
def test_a_csv_is_refused(case: str, home: Path, capsys: pytest.CaptureFixture[str]):
    text, words = BAD_CSV[case]
    Path("typed.csv").write_text(text)
    for line in refusals(capsys, 2, "sweep", "typed.csv"):
        assert words in line
        assert "typed.csv" in line or "correct the set-up" in line


def test_a_csv_of_bytes_is_refused(home: Path, capsys: pytest.CaptureFixture[str]):
    Path("typed.csv").write_bytes(b"angle_deg,reading_mm\n\xff\xfe\x00")
    for line in refusals(capsys, 2, "sweep", "typed.csv"):
        assert "typed.csv is no text file" in line
