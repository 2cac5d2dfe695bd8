"""Bad input: one line says what was found, expected, and what to do; nothing is printed, nothing is lost."""

import subprocess
import threading
from pathlib import Path

import pytest
from mcap.writer import CompressionType, Writer
from places import ROOT
from pseudo_terminals import Cable, cable
from running import Ran, inside, move_in, one_line, practice_file, start_python
from small_recordings import heartbeat, hello, host, sample, write
from store_rows import longer_ladder

from analysis.errors import BadInput, FullturnError, LinkError, NotDecidable
from analysis.store import SCHEMA_VERSION, open_store
from logger.commands.exit_status import worst_status
from logger.practice.serving.ends import pty_available
from logger.recording import RecordingReader
from logger.recording.layout import PROFILE
from logger.stream import LinkBytes
from logger.wire.framing import encode_frame
from logger.wire.messages import Channel, Hello

needs_pty = pytest.mark.skipif(not pty_available(), reason="this system has no pseudo-terminals")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return move_in(tmp_path, monkeypatch)


@pytest.fixture(scope="module")
def two_turns(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return practice_file(tmp_path_factory.mktemp("made") / "two.mcap", "wind-pump/as-found", "--turns", 2)


def refusals(
    capsys: pytest.CaptureFixture[str], status: int, *arguments: object, json: bool = True
) -> list[str]:
    """Run a command that has to be refused, as text and with --json; return its lines."""
    lines = []
    for more in ((), ("--json",)) if json else ((),):
        ran = inside(capsys, *arguments, *more)
        assert (ran.status, ran.out) == (status, "")
        lines.append(one_line(ran))
        assert len(ran.err.splitlines()) == 1
    return lines


SWEEP_OF_A_RECORDING = {
    "a limit without a unit": (("--limit", "0.05"), "'0.05' has no unit: write it with one, as 0.05 mm"),
    "two tenths": (("--limit", "2 tenths"), "0.0001 in in one shop and 0.1 mm in another"),
    "a mil": (("--limit", "2 mil"), "a mil is a thou here and a millimetre there"),
    "a limit of nothing": (("--limit", "0 mm"), "'0 mm' is not above zero"),
    "a limit below nothing": (("--limit", "-1 mm"), "'-1 mm' is not above zero"),
    "thousands": (("--limit", "1,000.5 mm"), "thousands separators: write it without, as 1000.5 mm"),
    "a unit that is no length": (("--limit", "0.05 kg"), "'kg' is no unit of length known here: use mm, um"),
    "two numbers": (("--limit", "0.05 mm 3"), "is not one number and one unit: write it like 0.05 mm"),
    "two quantities": (
        ("--set", "limit_quantity=eccentricity", "--limit", "0.05 mm", "--quantity", "tir"),
        "--quantity tir against limit_quantity eccentricity of the set-up",
    ),
    "another quantity than the recording's": (
        ("--quantity", "form"),
        "--quantity form against limit_quantity tir of the recording's set-up",
    ),
    "eccentricity of a face": (
        ("--limit", "0.05 mm", "--quantity", "eccentricity"),
        "a face has no eccentricity; use tir for a face",
    ),
    "a quantity that is none": (("--limit", "1 mm", "--quantity", "wobble"), "is not one of tir, tir_first"),
    "tilt as a length": (("--limit", "0.05 mm", "--quantity", "tilt"), "write it as a tir with limit_radius"),
    "a quantity of another job": (
        ("--limit", "0.05 mm", "--quantity", "thickness"),
        "cannot be decided in one sweep",
    ),
    "a limit at a radius, no track": (
        ("--set", "limit_radius=50 mm", "--set", "track_radius="),
        "the radius of the track is not known: set track_radius",
    ),
    "orders beyond the samples": (("--orders", "5000"), "--orders 5000:"),
    "no orders": (("--orders", "0"), "--orders 0:"),
    "a surface that is none": (("--set", "surface=top"), "surface 'top' is not one of face, outside, bore"),
    "a clock of thirteen hours": (("--set", "tip_clock=13"), "'13' is not a clock place from 1 to 12"),
    "two set-up values at once": (
        ("--set", "surface=top", "--set", "sense=2"),
        "surface 'top' is not one of face, outside, bore; sense '2' is not one of +1, -1",
    ),
    "a setting without a value": (("--set", "surface"), "is not KEY=VALUE: write it like --set surface=bore"),
    "a channel nobody described": (("--channel", "3"), "the board described: 0 (practice indicator)"),
    "a channel beyond sixteen": (("--channel", "16"), "16 is not in the range"),
    "leaving out without a reason": (("--leave-out", "40:52"), "is not FROM:TO=REASON: write the two angles"),
    "leaving out for an empty reason": (("--leave-out", "40:52="), "is not FROM:TO=REASON"),
    "leaving out from no angle": (("--leave-out", "x:52=keyway"), "'x' is not a number"),
    "an option that is none": (("--smooth",), "No such option '--smooth'"),
    "typed readings and files": (("--typed", "0:0 90:3 180:1 thou"), "--typed and files at once"),
    "a set-up file that is not there": (("--setup", "none.toml"), "none.toml: No such file or directory"),
    "a unit not printed": (("--units", "furlong"), "'furlong' is not one of 'mm', 'um', 'in', 'thou'"),
}  # fmt: skip


@pytest.mark.parametrize("case", SWEEP_OF_A_RECORDING)
def test_a_sweep_is_refused(case: str, home: Path, two_turns: Path, capsys: pytest.CaptureFixture[str]):
    options, words = SWEEP_OF_A_RECORDING[case]
    for line in refusals(capsys, 2, "sweep", two_turns, *options):
        assert words in line


OTHER_COMMANDS = {
    "nothing to sweep": (("sweep",), "nothing to analyse: name a recording, a CSV file or practice:NAME"),
    "no full turn": (("sweep", "practice:wind-pump/end-float"), "no full turn from mark to mark"),
    "a scenario that is none": (("sweep", "practice:wind-mill"), "expected one of wind-pump/end-float"),
    "a fault that is none": (("sweep", "practice:wind-pump", "--fault", "sloppy"), "expected one of drop"),
    "typed without a unit": (("sweep", "--typed", "0:0 90:3 180:1"), "do not end in a unit"),
    "typed in tenths": (("sweep", "--typed", "0:0 90:3 180:1 tenths"), "no unit of length known here"),
    "two typed places": (("sweep", "--typed", "0:0 90:3 thou"), "at least 3 are needed"),
    "a place typed twice": (("sweep", "--typed", "0:0 90:3 90:2 thou"), "hold one place twice"),
    "a file that is not there": (("sweep", "none.mcap"), "no file none.mcap: name a recording that exists"),
    "a CSV that is not there": (("sweep", "none.csv"), "none.csv cannot be read: No such file"),
    "no port of that name": (("record", "http://nobody"), "is no port: name a device"),
    "a fault of a real port": (("record", "/dev/ttyS9", "--fault", "drop"), "--fault is for practice:NAME"),
    "lines nobody described": (("record", "-"), "describe them in a rig file, with --rig"),
    "a second port without a rig": (
        ("record", "/dev/ttyS9", "--second", "/dev/ttyS8"),
        "--second names the encoder's port of a rig: describe it in [second.line], with --rig",
    ),
    "a rig for the bench": (
        ("record", "practice:wind-pump", "--rig", ROOT / "firmware-notes" / "tiny_sender.toml"),
        "--rig says what a port prints: name the port",
    ),
    "every without for": (("record", "practice:wind-pump", "--every", "5 s"), "and --for go together"),
    "every without an end": (
        ("record", "practice:wind-pump", "--every", "5 min", "--for", "1 h"),
        "--every needs an end of each recording: add --turns or --seconds",
    ),
    "no turns": (("record", "practice:wind-pump", "--turns", "0"), "0 is not in the range"),
    "a limit without a unit": (("record", "practice:wind-pump", "--limit", "3"), "'3' has no unit"),
    "eccentricity of a face": (
        ("record", "practice:wind-pump", "--limit", "1 mm", "--quantity", "eccentricity"),
        "a face has no eccentricity",
    ),
    "a folder that is not there": (
        ("record", "practice:wind-pump", "--out", "none/a.mcap"),
        "the folder none does not exist: make it",
    ),
    "exporting to what is no CSV": (("export", "practice:wind-pump", "-o", "a.xls"), "name a .csv file"),
    "a store in no folder": (("history", "--store", "none/s.db"), "make the folder, or name another store"),
}  # fmt: skip


@pytest.mark.parametrize("case", OTHER_COMMANDS)
def test_a_command_is_refused(case: str, home: Path, capsys: pytest.CaptureFixture[str]):
    arguments, words = OTHER_COMMANDS[case]
    for line in refusals(capsys, 2, *arguments):
        assert words in line


WITHOUT_JSON = {
    "a command that is none": (("swep", "a.mcap"), "no command 'swep'"),
    "a bench that is none": (("practice", "wind-mill"), "list them with `fullturn practice --list`"),
    "no bench at all": (("practice",), "no scenario named: try wind-pump/as-found"),
    "a fault of no bench": (("practice", "wind-pump", "--fault", "sloppy"), "expected one of drop"),
    "turns of a served bench": (("practice", "wind-pump", "--turns", "2"), "--turns goes with --write"),
    "a link to a TCP port": (("practice", "wind-pump", "--tcp", "--link", "p"), "leave out --tcp"),
    "a shell that is none": (("completion", "csh"), "'csh' is not one of 'bash', 'zsh', 'fish'"),
    "a log that cannot be written": (("--log", "none/l.txt", "settings"), "name a file that can be written"),
}  # fmt: skip


@pytest.mark.parametrize("case", WITHOUT_JSON)
def test_a_command_without_json_is_refused(case: str, home: Path, capsys: pytest.CaptureFixture[str]):
    arguments, words = WITHOUT_JSON[case]
    (line,) = refusals(capsys, 2, *arguments, json=False)
    assert words in line


def test_a_comma_is_a_decimal_point(home: Path, two_turns: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "sweep", two_turns, "--limit", "0,05 mm", "--json").result
    assert result["decision"]["limit_mm"] == 0.05


def test_the_limit_is_echoed_in_both_systems(home: Path, two_turns: Path, capsys: pytest.CaptureFixture[str]):
    assert "2 thou (0.0508 mm)" in inside(capsys, "sweep", two_turns, "--limit", "2 thou").first_line


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


def newer_hello() -> bytes:
    body = Hello(0, 0, 2, 9, 0, 5, 0x51AB0001, 2400, 1000, 1000, 1, 1, 7, 20000).encode()
    return b"\x00" + encode_frame(body)


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


# --- ports ------------------------------------------------------------------------------------------------


def test_a_port_that_is_not_there(home: Path, capsys: pytest.CaptureFixture[str]):
    for line in refusals(capsys, 4, "record", "/dev/nothing-here", "--turns", "1"):
        assert line.startswith("no port /dev/nothing-here: ")


def test_nothing_is_left_where_a_port_is_not_there(home: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "record", "/dev/nothing-here", "--turns", "1")
    assert not list(home.rglob("*.mcap"))


@needs_pty
def test_a_port_held_by_another_process(home: Path, capsys: pytest.CaptureFixture[str]):
    hold = """
import serial, sys
port = serial.Serial(sys.argv[1], exclusive=True)
print("held", flush=True)
input()
port.close()
"""
    with cable() as plugged, start_python(home, hold, plugged.path, stdin=subprocess.PIPE) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        lines = refusals(capsys, 4, "record", plugged.path, "--turns", "1")
        other.communicate("\n")
    for line in lines:
        assert f"{plugged.path} is held by another program: end that one" in line


def record_from(plugged: Cable, said: bytes, capsys: pytest.CaptureFixture[str]) -> Ran:
    """Record from a device that says this over and over, until the command has had enough."""
    ended = threading.Event()

    def send() -> None:
        while said and not ended.wait(0.02):
            plugged.send(said)

    sending = threading.Thread(target=send)
    sending.start()
    try:
        return inside(capsys, "record", plugged.path, "--turns", "1", "--out", "kept.mcap", "--json")
    finally:
        ended.set()
        sending.join()


NONSENSE = {
    "lines of another gauge": b"+00.134 mm\r\n",
    "zeros and letters": b"\x00abc\x00\x05defg\x00",
    "a stuck line": b"\xff" * 50,
}


@needs_pty
@pytest.mark.parametrize("said", NONSENSE.values(), ids=NONSENSE)
def test_a_port_that_talks_nonsense(said: bytes, home: Path, capsys: pytest.CaptureFixture[str]):
    with cable() as plugged:
        ran = record_from(plugged, said, capsys)
    line = one_line(ran)
    assert ran.status == 4
    assert "talks, but not this wire" in line
    assert "expected a hello within 3 s; check baud rate and port" in line
    # What came is kept, and named where to find.
    assert line.endswith("what came is kept in kept.mcap")
    kept = b"".join(item.data for item in RecordingReader("kept.mcap").items() if isinstance(item, LinkBytes))
    assert kept.startswith(said)


@needs_pty
def test_a_port_that_says_nothing(home: Path, capsys: pytest.CaptureFixture[str]):
    with cable() as plugged:
        ran = record_from(plugged, b"", capsys)
    assert ran.status == 4
    assert "No hello from the board within 3 s" in one_line(ran)
    # An empty file would only be found later and wondered at.
    assert not Path("kept.mcap").exists()


@needs_pty
def test_a_board_of_a_newer_wire(home: Path, capsys: pytest.CaptureFixture[str]):
    with cable() as plugged:
        ran = record_from(plugged, newer_hello(), capsys)
    assert ran.status == 2
    assert "version 2" in one_line(ran)
    assert "kept.mcap" in one_line(ran)


# --- status -----------------------------------------------------------------------------------------------

MOST_SERIOUS_FIRST = (2, 4, 5, 1, 3, 0)


@pytest.mark.parametrize("place", range(len(MOST_SERIOUS_FIRST)))
def test_of_several_statuses_the_worst_is_the_commands(place: int):
    assert worst_status(sorted(MOST_SERIOUS_FIRST[place:])) == MOST_SERIOUS_FIRST[place]


def test_nothing_at_all_is_no_failure():
    assert worst_status([]) == 0


@pytest.mark.parametrize(("limits", "status"), [(("0.5", "0.05"), 1), (("0.5", "0.1458"), 3), (("0.5",), 0)])
def test_several_files_end_with_the_worst(
    limits: tuple[str, ...], status: int, home: Path, capsys: pytest.CaptureFixture[str]
):
    # The same sweep against limits far above, far below and right at what it reads.
    for k, limit in enumerate(limits):
        inside(capsys, "export", "practice:wind-pump", "-o", f"{k}.csv", "--limit", f"{limit} mm")
    ran = inside(capsys, "sweep", *(f"{k}.csv" for k in range(len(limits))), "--json")
    assert ran.status == status


def test_one_bad_file_of_several_leaves_nothing_printed(
    home: Path, two_turns: Path, capsys: pytest.CaptureFixture[str]
):
    for line in refusals(capsys, 2, "sweep", two_turns, "none.mcap"):
        assert "none.mcap" in line


def test_errors_know_their_status():
    statuses = [error.exit_status for error in (BadInput, LinkError, NotDecidable, FullturnError)]
    assert statuses == [2, 4, 3, 5]


def test_a_fault_of_the_program_ends_with_5_and_keeps_its_traceback(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    def break_down(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a mistake of ours")

    monkeypatch.setattr("logger.commands.run.reported_sweep.analyse", break_down)
    monkeypatch.setattr("tempfile.tempdir", str(home))
    (line, _) = refusals(capsys, 5, "sweep", "practice:wind-pump")
    kept = Path(line.split("the traceback lies in ")[1].split(":")[0])
    assert "ZeroDivisionError: a mistake of ours" in line
    assert "in break_down" in kept.read_text()
