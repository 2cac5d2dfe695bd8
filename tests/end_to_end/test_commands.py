"""Commands as a person types them: options of a sweep, what is recorded, kept, listed, logged and printed."""

import hashlib
import json
import os
from pathlib import Path

import pytest
from running import FLANGE, Ran, inside, start

from analysis.store import SCHEMA_VERSION
from analysis.sweep import NUMERICS_VERSION
from logger.__main__ import run
from logger.commands import TABLE
from logger.practice.bench.faults import FAULTS
from logger.practice.stories.catalogue import SCENARIOS
from logger.recording import FORMAT, RecordingReader

# --- options of sweep -------------------------------------------------------------------------------------


def test_a_window_is_left_out_with_its_reason(written: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "sweep", written, "--leave-out", "100:106=keyway", "--json").result
    assert result["left_out"] == [{"from_deg": 100.0, "to_deg": 106.0, "reason": "keyway"}]
    whole = inside(capsys, "sweep", written, "--json").result
    assert all(
        one["values"] < other["values"] for one, other in zip(result["turns"], whole["turns"], strict=True)
    )


def test_orders_can_be_asked_for(written: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "sweep", written, "--orders", "4", "--json").result
    assert [order["n"] for order in result["pooled"]["orders"]] == [1, 2, 3, 4]


def test_another_quantity_can_be_decided(written: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "sweep", written, "--limit", "0.03 mm", "--quantity", "form", "--json")
    assert (ran.status, ran.result["decision"]["quantity"]) == (0, "form")


def test_a_set_up_file_is_taken(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    Path("set-up.toml").write_text('part = "mine"\nlimit = "0.2 mm"\n')
    result = inside(capsys, "sweep", written, "--setup", "set-up.toml", "--json").result
    assert (result["setup"]["part"], result["decision"]["state"]) == ("mine", "within")


def test_a_value_typed_goes_before_the_set_up_file(
    home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    Path("set-up.toml").write_text('part = "theirs"\n')
    result = inside(capsys, "sweep", written, "--setup", "set-up.toml", "--set", "part=mine", "--json").result
    assert result["setup"]["part"] == "mine"


def test_sense_turns_the_sweep_round(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    there = inside(capsys, "sweep", written, "--json").result["pooled"]
    back = inside(capsys, "sweep", written, "--set", "sense=-1", "--json").result["pooled"]
    assert back["high_side_deg"] == pytest.approx(360 - there["high_side_deg"], abs=0.1)
    assert back["tir_first_mm"] == pytest.approx(there["tir_first_mm"], abs=1e-5)


def test_stages_are_one_line_per_step(written: Path, capsys: pytest.CaptureFixture[str]):
    shown = inside(capsys, "sweep", written, "--stages").out
    steps = [line.split(":")[0].strip() for line in shown.split("Stages:\n")[1].splitlines()]
    assert steps[:4] == ["recording", "frames", "scaling", "samples"]
    assert "decision" in steps


# --- record -----------------------------------------------------------------------------------------------


def test_a_recording_goes_to_the_data_folder_by_date_and_part(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "record", FLANGE, "--turns", "1")
    (kept,) = (home / "data").glob("*-bull-gear-flange.mcap")
    assert ran.out.splitlines()[-2] == f"Recorded to {kept}"


def test_a_recording_names_what_to_type_next(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "record", FLANGE, "--turns", "1", "--out", "my sweep.mcap")
    live, replay = f"`fullturn watch {FLANGE}`", "`fullturn watch 'my sweep.mcap'`"
    assert ran.out.splitlines()[-1] == f"Next: {live} shows the same live, {replay} replays this"


def test_every_turn_recorded_stands_in_the_history(home: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "record", FLANGE, "--turns", "2", "--out", "mine.mcap", "--json").result
    turns = inside(capsys, "history", "--json").result["turns"]
    sha256 = hashlib.sha256(Path("mine.mcap").read_bytes()).hexdigest()
    assert [turn["recording_id"] for turn in turns] == [result["recording_id"]] * 2
    assert [turn["sha256"] for turn in turns] == [sha256] * 2
    assert [turn["state"] for turn in turns] == ["over"] * 2
    assert [(turn["ended"], turn["numerics"]) for turn in turns] == [("closed", NUMERICS_VERSION)] * 2
    assert turns[0]["mark"] == turns[1]["mark"]
    # Stored as they ended, each from what had come by then: the same turn as in the file, to a step's share.
    assert [turn["tir_fit_mm"] for turn in turns] == pytest.approx(
        [turn["tir_fit_mm"] for turn in result["turns"]], abs=1e-4
    )


def test_without_a_store_nothing_is_stored(home: Path, capsys: pytest.CaptureFixture[str]):
    assert inside(capsys, "record", FLANGE, "--turns", "1", "--no-store").status == 1
    assert not (home / "store.db").exists()


def test_a_store_can_be_named(home: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "record", FLANGE, "--turns", "1", "--store", "other.db")
    assert not (home / "store.db").exists()
    assert len(inside(capsys, "history", "--store", "other.db", "--json").result["turns"]) == 1


def test_too_few_seconds_for_a_turn_keep_the_recording_and_name_it(
    home: Path, capsys: pytest.CaptureFixture[str]
):
    ran = inside(capsys, "record", FLANGE, "--seconds", "2", "--out", "mine.mcap", "--json")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.splitlines()[-1].endswith("the recording is kept in mine.mcap")
    assert len(list(RecordingReader("mine.mcap").items())) > 10


def test_a_row_of_recordings_is_told_as_one_object(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "record", FLANGE, "--turns", "1", "--every", "1 s", "--for", "2 s", "--json")
    assert ran.status == 1
    assert len({one["recording_id"] for one in ran.result["files"]}) == 3
    assert len(list((home / "data").glob("*.mcap"))) == 3


def test_the_set_up_is_in_the_recording(home: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "record", FLANGE, "--turns", "1", "--out", "mine.mcap", "--limit", "2 thou")
    setup = RecordingReader("mine.mcap").setup
    assert (setup["limit"], setup["part"]) == ("2 thou", "bull-gear flange")


# --- what is kept and shown -------------------------------------------------------------------------------


def test_looking_at_a_history_makes_no_store(home: Path, capsys: pytest.CaptureFixture[str]):
    assert inside(capsys, "history", "--json").result == {"turns": [], "damaged": []}
    assert inside(capsys, "history", "--store", "other.db").first_line.startswith("No turns in the store")
    assert not list(home.glob("*.db"))


def test_the_history_of_one_part(home: Path, capsys: pytest.CaptureFixture[str]):
    for part in ("hub", "disc", "hub"):
        inside(capsys, "record", FLANGE, "--turns", "1", "--set", f"part={part}")
    assert [one["part"] for one in inside(capsys, "history", "disc", "--json").result["turns"]] == ["disc"]
    newest = inside(capsys, "history", "--last", "2", "--json").result["turns"]
    assert [one["part"] for one in newest] == ["disc", "hub"]
    assert inside(capsys, "history").first_line.startswith("3 turns in ")


def test_a_file_is_checked_in_words(written: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "check-file", written)
    assert ran.status == 0
    assert f"{written} is whole: " in ran.first_line
    assert hashlib.sha256(written.read_bytes()).hexdigest() in ran.out


def test_a_cut_file_is_read_and_called_not_closed(
    home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    Path("cut.mcap").write_bytes(written.read_bytes()[:60_000])
    assert "not closed" in inside(capsys, "check-file", "cut.mcap").first_line
    assert inside(capsys, "check-file", "cut.mcap", "--json").result["closed"] is False
    assert inside(capsys, "sweep", "cut.mcap", "--json").result["closed"] is False


def test_every_scenario_and_fault_is_listed(capsys: pytest.CaptureFixture[str]):
    listed = inside(capsys, "practice", "--list").out
    assert all(name in listed for name in (*SCENARIOS, *FAULTS))


def test_the_versions_are_shown(capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "--version")
    assert ran.status == 0
    assert ran.out.startswith("fullturn ")
    assert f"recording format {FORMAT}, store version {SCHEMA_VERSION}" in ran.out


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]):
    shown = inside(capsys, "--help").out
    assert all(command in shown for command in TABLE)


@pytest.mark.parametrize("command", TABLE)
def test_every_command_has_help(command: str, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, command, "--help")
    assert ran.status == 0
    assert "Usage: fullturn " in ran.out


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_gets_its_script(shell: str, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "completion", shell)
    assert ran.status == 0
    assert "_FULLTURN_COMPLETE" in ran.out


def test_what_the_script_asks_for_is_answered(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.setenv("_FULLTURN_COMPLETE", "bash_complete")
    monkeypatch.setenv("COMP_WORDS", "fullturn re")
    monkeypatch.setenv("COMP_CWORD", "1")
    run([])
    assert capsys.readouterr().out == "plain,record\nplain,report\n"


def test_what_is_done_can_be_logged(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "--log", "log.txt", "record", FLANGE, "--turns", "1", "--out", "mine.mcap", "--json")
    logged = Path("log.txt").read_text()
    steps = (
        "command record",
        "to mine.mcap",
        "opening 1 of practice:",
        "closed after 1 turns",
        "ended with 1",
    )
    assert [step for step in steps if step not in logged] == []
    assert "command record" not in ran.err


def test_what_is_done_can_be_watched(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "--verbose", "sweep", written, "--json")
    assert "fullturn.inputs: " in ran.err
    assert ran.result["closed"]


def test_a_refusal_is_logged(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "--log", "log.txt", "sweep", "none.mcap")
    assert ran.status == 2
    assert "refused with 2: no file none.mcap" in Path("log.txt").read_text()


def test_without_being_asked_nothing_is_logged(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "--verbose", "--log", "log.txt", "sweep", written)
    before = Path("log.txt").read_text()
    assert inside(capsys, "sweep", written).err == ""
    assert Path("log.txt").read_text() == before


def test_a_reader_that_has_had_enough_is_no_trouble(home: Path):
    # As in `fullturn practice --list | head -1`: the reading end is closed before anything is written.
    reading, writing = os.pipe()
    os.close(reading)
    process = start(home, "practice", "--list", stdout=writing)
    os.close(writing)
    with process:
        _, err = process.communicate()
    assert (process.returncode, err) == (0, "")


def test_text_and_json_agree(written: Path, capsys: pytest.CaptureFixture[str]):
    text = inside(capsys, "sweep", written)
    result = inside(capsys, "sweep", written, "--json")
    assert f"{result.result['pooled']['tir_fit_mm']:.3f} mm" in text.first_line
    assert text.status == result.status == 1


def test_progress_and_warnings_go_to_standard_error(home: Path, capsys: pytest.CaptureFixture[str]):
    ran: Ran = inside(capsys, "record", FLANGE, "--turns", "1", "--json")
    assert json.loads(ran.out)
    assert "streams; recording to" in ran.err
    assert "turn 1 of 1 is round" in ran.err
