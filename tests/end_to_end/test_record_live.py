"""Recording at a real pseudo-terminal: a whole sweep, a short one, one that a person ends."""

import hashlib
import signal
from pathlib import Path

import pytest
from running import Ran, bench, finish, fullturn, one_line, said, start
from served_bench import LIMIT, OVER, closed, record

from logger.practice.serving.ends import pty_available

pytestmark = pytest.mark.skipif(not pty_available(), reason="this system has no pseudo-terminals")


# --- a whole sweep ----------------------------------------------------------------------------------------


def test_five_turns_by_hand_are_decided_and_told_alike_by_every_command(tmp_path: Path):
    # The one test that takes as long as a person does, some 40 s: everything that is told of it is held here.
    with bench(tmp_path, "wind-pump/as-found") as port:
        shown = fullturn(tmp_path, "record", port, "--turns", "5", *LIMIT, "--out", "a.mcap")
    from_file = fullturn(tmp_path, "sweep", "a.mcap", "--json")

    # Line one is the answer.
    assert shown.status == from_file.status == 1
    assert shown.first_line.startswith("Face runout 0.14")
    assert shown.first_line.endswith(": over the entered limit 0.050 mm (1.97 thou).")

    # Seed 1 finds what is true: 0.142 mm once round at 63 degrees, the curve's top at 50.3.
    p = from_file.result["pooled"]
    assert p["tir_first_95_mm"][0] <= 0.142 <= p["tir_first_95_mm"][1]
    assert p["high_side_95_deg"][0] <= 63.0 <= p["high_side_95_deg"][1]
    assert p["high_point_95_deg"][0] <= 50.3 <= p["high_point_95_deg"][1]
    assert p["turns"] == len(from_file.result["turns"]) == 5
    assert [check["name"] for check in from_file.result["checks"] if check["state"] == "refused"] == []

    # The file tells the same as what was shown when it was recorded.
    assert shown.out.startswith(f"{fullturn(tmp_path, 'sweep', 'a.mcap').out}Recorded to a.mcap\n")

    # The turns are in the store, under the checksum of the file.
    turns = fullturn(tmp_path, "history", "--json").result["turns"]
    sha256 = hashlib.sha256((tmp_path / "a.mcap").read_bytes()).hexdigest()
    assert [turn["sha256"] for turn in turns] == [sha256] * 5
    assert [turn["state"] for turn in turns] == ["over"] * 5

    # The file is whole; at most the fragment that the port's opening leaves is bad.
    check = fullturn(tmp_path, "check-file", "a.mcap", "--json").result
    assert (check["closed"], check["lost"], check["gaps"], check["skipped_bytes"]) == (True, 0, [], 0)
    assert check["bad"] <= 1
    assert check["sha256"] == sha256


def test_record_prints_the_object_that_sweep_prints(tmp_path: Path, quick_port: str):
    recorded = record(tmp_path, quick_port, "--turns", "2", "--out", "a.mcap")
    from_file = fullturn(tmp_path, "sweep", "a.mcap", "--json")
    assert recorded.status == from_file.status == OVER
    assert recorded.result == from_file.result
    assert len(recorded.result["turns"]) >= 2


def test_a_board_that_answered_is_known_from_then_on(tmp_path: Path, quick_port: str):
    record(tmp_path, quick_port, "--turns", "1")
    ports = fullturn(tmp_path, "ports", "--json").result["ports"]
    assert [port["known"] for port in ports if port["path"] == quick_port] == [True]


def test_a_rate_that_is_asked_for_is_what_comes(tmp_path: Path, quick_port: str):
    result = record(tmp_path, quick_port, "--turns", "2", "--rate", "50").result
    # A second a turn, but for the lathe's wander of 1 %, at 50 readings a second. The first turn of a bench
    # has a moment of standing still in it.
    assert result["turns"][1]["samples"] == pytest.approx(50, abs=3)


def test_so_many_seconds_end_it(tmp_path: Path, quick_port: str):
    # Begun anywhere, two seconds and a half at a second a turn have a whole one from mark to mark in them.
    ran = record(tmp_path, quick_port, "--seconds", "2.5", "--out", "a.mcap")
    assert ran.status == OVER
    assert len(ran.result["turns"]) >= 1
    assert closed(tmp_path / "a.mcap")


def test_a_port_that_is_being_recorded_from_is_held(tmp_path: Path, quick_port: str):
    first = start(tmp_path, "record", quick_port, "--out", "a.mcap", "--no-store")
    said(first, "streams")
    second = record(tmp_path, quick_port, "--turns", "1")
    first.send_signal(signal.SIGINT)
    assert finish(first).status == 0
    assert second.status == 4
    assert "is held by another program" in one_line(second)


# --- Ctrl-C -----------------------------------------------------------------------------------------------


def stopped(home: Path, port: str, after: str, *more: str) -> Ran:
    """Record until this is said, then press Ctrl-C."""
    process = start(home, "record", port, *LIMIT, "--out", "a.mcap", *more)
    said(process, after)
    process.send_signal(signal.SIGINT)
    return finish(process)


def test_ctrl_c_ends_with_0_and_says_where_the_recording_lies(tmp_path: Path, quick_port: str):
    ran = stopped(tmp_path, quick_port, "turn 1 is round")
    assert ran.status == 0
    assert "recorded to a.mcap" in ran.err
    assert ran.first_line.startswith("Face runout")
    assert closed(tmp_path / "a.mcap")


def test_ctrl_c_with_json_prints_the_object_alone(tmp_path: Path, quick_port: str):
    ran = stopped(tmp_path, quick_port, "turn 1 is round", "--json")
    assert (ran.status, ran.result["closed"]) == (0, True)


def test_ctrl_c_before_the_first_turn_keeps_what_came(tmp_path: Path):
    with bench(tmp_path, "wind-pump/as-found") as port:
        ran = stopped(tmp_path, port, "streams")
    assert (ran.status, ran.out) == (0, "")
    assert "recorded to a.mcap; " in ran.err
    assert closed(tmp_path / "a.mcap")


def test_after_ctrl_c_the_next_recording_is_clean(tmp_path: Path, quick_port: str):
    stopped(tmp_path, quick_port, "turn 1 is round")
    result = record(tmp_path, quick_port, "--turns", "1").result
    assert (result["link"]["lost"], result["link"]["restarts"], result["closed"]) == (0, 0, True)
