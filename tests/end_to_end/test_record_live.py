"""Recording at a real pseudo-terminal: whole, stopped, killed, with the cable pulled, the board restarted."""

import hashlib
import io
import os
import re
import signal
import sqlite3
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from pathlib import Path

import pytest
from running import Ran, bench, finish, fullturn, inside, move_in, one_line, start

from analysis.capture.events import BoardRestarted, Event, LinkLost, LinkReopened
from logger.practice.bench.bench import Bench
from logger.practice.bench.motion import Lathe
from logger.practice.bench.scenario import Scenario
from logger.practice.serving.ends import PtyEnd, pty_available
from logger.practice.serving.server import Server
from logger.practice.stories.catalogue import scenario
from logger.recording import RecordingReader
from logger.sources.search import ReopenPolicy
from logger.stream import LinkBytes, RecordedEvent
from logger.wire.parsing import MessageDecoder

pytestmark = pytest.mark.skipif(not pty_available(), reason="this system has no pseudo-terminals")

OVER, UNDECIDED = 1, 3
LIMIT = ("--limit", "0.050 mm")


class Served:
    """A bench that turns once a second, with a gauge as quick, served at a port until it is ended."""

    def __init__(self, wrong: Callable[[Scenario], Scenario], link: Path | None = None) -> None:
        """``wrong`` puts something wrong with it; ``link`` is a name the port keeps."""
        good = wrong(scenario("wind-pump/as-found"))
        made = replace(good, motion=Lathe(60.0), gauge=replace(good.gauge, period_us=5_000))
        self._ended, self._end, out = threading.Event(), PtyEnd(), io.StringIO()
        server = Server(Bench(made), self._end, link, out, time.monotonic)
        self._serving = threading.Thread(target=server.run, args=(self._ended.is_set,))
        self._serving.start()
        while not out.getvalue():
            self._serving.join(0.005)
        self.port = str(link or out.getvalue().split()[0])

    def end(self) -> None:
        """Stop serving and close the port; harmless twice."""
        self._ended.set()
        self._serving.join()
        self._end.close()

    def end_when(self, there: Callable[[], bool]) -> threading.Thread:
        """Stop serving as soon as something is there, in a thread of its own."""

        def wait() -> None:
            while not (there() or self._ended.wait(0.005)):
                pass
            self.end()

        waiting = threading.Thread(target=wait)
        waiting.start()
        return waiting


@contextmanager
def served(wrong: Callable[[Scenario], Scenario], link: Path | None = None) -> Iterator[Served]:
    """Serve a bench and stop it at the end."""
    made = Served(wrong, link)
    try:
        yield made
    finally:
        made.end()


def nothing(good: Scenario) -> Scenario:
    return good


def said(process: subprocess.Popen[str], words: str) -> str:
    """Wait until a command says this on standard error; return the line."""
    assert process.stderr is not None
    for line in process.stderr:
        if words in line:
            return line
    raise AssertionError(f"it never said {words!r}")


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


def closed(path: Path) -> bool:
    reader = RecordingReader(path)
    for _ in reader.items():
        pass
    return reader.closed


def events_of(path: Path) -> list[type[Event]]:
    return [type(item.event) for item in RecordingReader(path).items() if isinstance(item, RecordedEvent)]


def record(home: Path, port: str, *more: object) -> Ran:
    """Record against a limit that the part is over."""
    return fullturn(home, "record", port, *LIMIT, *more, "--json")


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


# --- short ones -------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def quick_port() -> Iterator[str]:
    """A bench that is served throughout; every recording opens it anew."""
    with served(nothing) as board:
        yield board.port


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
