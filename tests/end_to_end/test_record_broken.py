"""Recording at a real pseudo-terminal that is killed, or whose cable is pulled, or whose board restarts."""

import os
import re
import sqlite3
import subprocess
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import replace
from pathlib import Path

import pytest
from running import finish, fullturn, inside, move_in, one_line, said, start
from served_bench import LIMIT, OVER, UNDECIDED, closed, nothing, record, served

from analysis.capture.events import BoardRestarted, Event, LinkLost, LinkReopened
from logger.practice.bench.scenario import Scenario
from logger.practice.serving.ends import pty_available
from logger.recording import RecordingReader
from logger.sources.search import ReopenPolicy
from logger.stream import LinkBytes, RecordedEvent
from logger.wire.parsing import MessageDecoder

pytestmark = pytest.mark.skipif(not pty_available(), reason="this system has no pseudo-terminals")


def wait_until(process: subprocess.Popen[str], there: Callable[[], bool]) -> None:
    """Wait until something is there while a command runs."""
    while not there():
        with suppress(subprocess.TimeoutExpired):
            process.wait(0.005)
        assert process.poll() is None, process.communicate()


def messages_of(path: Path) -> MessageDecoder:
    """Return the decoder after all bytes of a recording."""
    decoder = MessageDecoder()
    for item in RecordingReader(path).items():
        if isinstance(item, LinkBytes):
            decoder.feed(item.data)
    return decoder


def events_of(path: Path) -> list[type[Event]]:
    return [type(item.event) for item in RecordingReader(path).items() if isinstance(item, RecordedEvent)]


# --- kill -9 ----------------------------------------------------------------------------------------------


def head_is_there(process: subprocess.Popen[str], path: Path) -> None:
    wait_until(process, lambda: path.exists() and path.stat().st_size > 0)


def bytes_flow(process: subprocess.Popen[str], path: Path) -> None:
    wait_until(process, lambda: path.exists() and path.stat().st_size > 4000)


def a_turn_is_stored(process: subprocess.Popen[str], path: Path) -> None:
    said(process, "turn 2 is round")


KILLS = {
    "before the board answered": head_is_there,
    "amid readings": bytes_flow,
    "amid turns": a_turn_is_stored,
}


@pytest.fixture(params=KILLS.values(), ids=KILLS)
def killed(request: pytest.FixtureRequest, tmp_path: Path, quick_port: str) -> Path:
    """A home in which a recording was killed."""
    process = start(tmp_path, "record", quick_port, *LIMIT, "--out", "killed.mcap")
    request.param(process, tmp_path / "killed.mcap")
    process.kill()
    finish(process)
    return tmp_path


def test_a_killed_recording_opens_and_the_next_one_is_clean(killed: Path, quick_port: str):
    # The file holds what was read, in whole messages: no frame of it is bad but the opening's fragment.
    path = killed / "killed.mcap"
    assert not closed(path)
    assert messages_of(path).bad <= 1
    assert fullturn(killed, "check-file", "killed.mcap").status == 0

    result = record(killed, quick_port, "--turns", "1").result
    assert (result["closed"], result["link"]["lost"], result["link"]["restarts"]) == (True, 0, 0)

    # The store has only whole rows; of the killed recording it knows no checksum and no decision.
    with closing(sqlite3.connect(killed / "store.db")) as store:
        assert store.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert store.execute("PRAGMA foreign_key_check").fetchall() == []
    turns = fullturn(killed, "history", "--json").result["turns"]
    mine = [turn for turn in turns if turn["recording_id"] == result["recording_id"]]
    theirs = [turn for turn in turns if turn not in mine]
    assert len(mine) >= 1
    assert all(turn["sha256"] and turn["state"] == "over" for turn in mine)
    assert all(turn["sha256"] is None and turn["state"] is None for turn in theirs)


# --- cable and board --------------------------------------------------------------------------------------


def unplugged(good: Scenario) -> Scenario:
    return replace(good, link=replace(good.link, unplug_at=1.3, unplug_us=700_000))


def unplugged_for_good(good: Scenario) -> Scenario:
    return replace(good, link=replace(good.link, unplug_at=1.3, unplug_us=600_000_000))


def restarting(good: Scenario) -> Scenario:
    return replace(good, board=replace(good.board, restart_at=1.6))


def test_a_cable_pulled_and_put_back_is_a_gap_in_the_same_recording(tmp_path: Path):
    with served(unplugged, tmp_path / "port") as board:
        ran = record(tmp_path, board.port, "--turns", "3", "--out", "a.mcap")
    assert ran.status == OVER
    assert [gap["why"] for gap in ran.result["link"]["gaps"]] == ["unplugged"]
    # The board went on meanwhile: same boot, so the mark holds.
    assert ran.result["link"]["restarts"] == 0
    assert events_of(tmp_path / "a.mcap") == [LinkLost, LinkReopened]


def test_a_cable_that_is_out_when_the_seconds_are_over_ends_4_with_what_came(tmp_path: Path):
    with served(unplugged_for_good, tmp_path / "port") as board:
        ran = record(tmp_path, board.port, "--seconds", "3", "--out", "a.mcap")
    assert ran.status == 4
    assert "3 seconds were asked for: the sweep is short" in ran.err
    # Nothing is decided otherwise for it: the verdict on what came stands in what is printed.
    assert ran.result["decision"]["state"] == "over"
    assert closed(tmp_path / "a.mcap")


def test_a_board_that_restarts_breaks_the_sweep_and_streams_again(tmp_path: Path):
    with served(restarting) as board:
        ran = record(tmp_path, board.port, "--seconds", "3", "--out", "a.mcap")
    assert ran.status == UNDECIDED
    assert ran.result["link"]["restarts"] == 1
    assert "link" in [check["name"] for check in ran.result["checks"] if check["state"] == "refused"]
    assert events_of(tmp_path / "a.mcap") == [BoardRestarted]
    # It was brought to streaming again: more came than in the 1.6 turns before it restarted.
    assert ran.result["link"]["frames"] > 2 * 200


def test_a_board_gone_for_good_leaves_what_came_and_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    home = move_in(tmp_path, monkeypatch)
    monkeypatch.setattr("logger.sources.port.ReopenPolicy", lambda: ReopenPolicy(0.05, 0.2))
    kept = home / "a.mcap"
    with served(nothing) as board:
        ending = board.end_when(lambda: kept.exists() and kept.stat().st_size > 8000)
        ran = inside(capsys, "record", board.port, "--turns", "500", "--out", "a.mcap", "--json")
        ending.join()
    assert ran.status == 4
    assert "is gone and did not come back" in one_line(ran)
    assert one_line(ran).endswith("what came is kept in a.mcap")
    assert closed(kept)
    assert messages_of(kept).frames > 100


def test_a_board_that_cannot_be_remembered_is_recorded_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    home = move_in(tmp_path, monkeypatch)
    # Where the list of boards would be written first there is a folder.
    (home / "config" / f"known.toml.{os.getpid()}").mkdir(parents=True)
    with served(nothing) as board:
        ran = inside(capsys, "record", board.port, *LIMIT, "--turns", "1", "--json")
    assert (ran.status, ran.result["closed"]) == (OVER, True)
    assert re.search(r"the board is not remembered \(.*\); the recording goes on", ran.err)
