"""Bad input to a command: one line that says what was found, what was expected and what to do."""

from pathlib import Path

import pytest
from places import ROOT
from running import inside, refusals

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
    "exporting to what no format is called": (("export", "practice:wind-pump", "-o", "a.xls"), "name a file that does"),
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
