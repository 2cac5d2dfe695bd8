"""One way to open a source: what is refused before anything is opened, and what is open afterwards."""

import math
import os
import socket
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from pseudo_terminals import Cable, cable

from analysis.errors import BadInput, LinkError, RecordingError
from logger.acquisition import opening
from logger.acquisition.opening import OpenedSource, SourceRequest, check_request, open_source
from logger.acquisition.recorder import Recorder, default_path
from logger.acquisition.recording_end import Until
from logger.decoding.rig import Rig, read_rig
from logger.practice.serving.paced_source import PacedPractice
from logger.practice.serving.simulated_source import PracticeSource
from logger.recording import RecordingReader
from logger.sources.known import KnownBoards
from logger.sources.pair import PairSource
from logger.sources.port import PortSource
from logger.sources.standard_input import StandardInput
from logger.stream import LinkBytes

PORT = "/dev/none"
ONE_PORT = """
[line]
pattern = '(?P<reading>[-+0-9.]+)'
[port]
baud = 19200
send = "go;"
"""
TWO_PORTS = f"""{ONE_PORT}
[second.line]
pattern = '(?P<count>[-+0-9]+)'
[second.port]
baud = 38400
[second.encoder]
counts_per_turn = 4096
"""


def rig(folder: Path, text: str = ONE_PORT) -> Rig:
    path = folder / "rig.toml"
    path.write_text(text)
    return read_rig(str(path))


@pytest.fixture
def board() -> Iterator[Cable]:
    with cable() as made:
        yield made


@pytest.fixture
def encoder() -> Iterator[Cable]:
    with cable() as made:
        yield made


# --- what does not go together ----------------------------------------------------------------------------


@pytest.mark.parametrize("name", [PORT, "-", ""])
def test_a_fault_is_for_the_practice_bench(name: str):
    with pytest.raises(BadInput, match="--fault is for practice:NAME; a port has its own"):
        check_request(SourceRequest(name, fault="drop"))


def test_the_keyboard_brings_no_lines(tmp_path: Path):
    with pytest.raises(BadInput, match=r"- is the keyboard here: watch needs it .* use record -"):
        check_request(SourceRequest("-", rig=rig(tmp_path), watched=True))


def test_standard_input_needs_a_rig():
    with pytest.raises(BadInput, match=r"^- sends lines of which nothing is known: describe them"):
        check_request(SourceRequest("-"))


@pytest.mark.parametrize("name", [PORT, "practice:wind-pump"])
def test_a_second_port_without_a_rig_is_refused_for_the_second_port(name: str):
    with pytest.raises(BadInput, match=r"^--second names the encoder's port of a rig: describe it"):
        check_request(SourceRequest(name, second="/dev/other"))


def test_a_second_port_that_the_rig_does_not_have_is_refused(tmp_path: Path):
    with pytest.raises(BadInput, match=r"^--second names .* describe it in \[second.line\], with --rig"):
        check_request(SourceRequest(PORT, rig=rig(tmp_path), second="/dev/other"))


def test_the_second_port_of_a_rig_has_to_be_named(tmp_path: Path):
    with pytest.raises(BadInput, match=r"^the rig has a second port: name it with --second"):
        check_request(SourceRequest(PORT, rig=rig(tmp_path, TWO_PORTS)))


@pytest.mark.parametrize(
    ("name", "recording"), [("", False), ("practice:wind-pump", False), ("a.mcap", True)]
)
def test_a_rig_is_for_a_port_that_is_named(tmp_path: Path, name: str, recording: bool):
    with pytest.raises(BadInput, match=r"^--rig says what a port prints: name the port"):
        check_request(SourceRequest(name, rig=rig(tmp_path)), recording=recording)


def test_what_goes_together_passes(tmp_path: Path):
    one, two = rig(tmp_path), rig(tmp_path, TWO_PORTS)
    for request in (
        SourceRequest(PORT),
        SourceRequest("", watched=True),
        SourceRequest("-", rig=one),
        SourceRequest(PORT, rig=one, watched=True),
        SourceRequest(PORT, rig=two, second="/dev/other"),
        SourceRequest("practice:wind-pump", fault="drop", seed=3),
    ):
        check_request(request)


def test_what_is_refused_is_not_opened(board: Cable, tmp_path: Path):
    request = SourceRequest(board.path, fault="drop")
    with pytest.raises(BadInput, match="--fault"):
        open_source(request, tmp_path)
    with PortOf(open_source(SourceRequest(board.path), tmp_path)):
        pass  # nobody holds it


# --- what is open afterwards ------------------------------------------------------------------------------


class PortOf:
    """An opened source that is closed at the end of a block."""

    def __init__(self, opened: OpenedSource) -> None:
        self.opened = opened

    def __enter__(self) -> OpenedSource:
        return self.opened

    def __exit__(self, *_: object) -> None:
        self.opened.source.close()


def settings_of(source: PortSource) -> tuple[int, str]:
    assert source._port is not None
    return source._port.baudrate, source._port.parity


def test_a_port_is_opened_and_read(board: Cable, tmp_path: Path):
    with PortOf(open_source(SourceRequest(board.path), tmp_path)) as opened:
        board.send(b"abc")
        items = opened.source.read(2.0)
        assert [item.data for item in items if isinstance(item, LinkBytes)] == [b"abc"]
        assert isinstance(opened.source, PortSource)
        assert settings_of(opened.source) == (500_000, "N")


def test_a_speed_that_was_asked_for_goes_before_the_rigs(board: Cable, tmp_path: Path):
    even = rig(tmp_path, f'{ONE_PORT}parity = "even"')
    for baud, expected in ((None, (19_200, "E")), (57_600, (57_600, "E"))):
        with PortOf(open_source(SourceRequest(board.path, baud, rig=even), tmp_path)) as opened:
            assert isinstance(opened.source, PortSource)
            assert settings_of(opened.source) == expected


def test_two_ports_are_one_source_each_at_its_own_speed(board: Cable, encoder: Cable, tmp_path: Path):
    request = SourceRequest(board.path, rig=rig(tmp_path, TWO_PORTS), second=encoder.path)
    with PortOf(open_source(request, tmp_path)) as opened:
        source = opened.source
        assert isinstance(source, PairSource)
        assert [settings_of(port) for port in (source._gauge, source._angle)] == [  # type: ignore[arg-type]
            (19_200, "N"),
            (38_400, "N"),
        ]
        encoder.send(b"7\n")
        board.send(b"0.1\n")
        items = source.read(2.0)
        assert {item.link: item.data for item in items if isinstance(item, LinkBytes)} == {
            0: b"0.1\n",
            1: b"7\n",
        }


def test_where_the_second_port_does_not_open_the_first_is_let_go_of(board: Cable, tmp_path: Path):
    two = rig(tmp_path, TWO_PORTS)
    with pytest.raises(LinkError, match="no port /dev/other-none"):
        open_source(SourceRequest(board.path, rig=two, second="/dev/other-none"), tmp_path)
    with PortOf(open_source(SourceRequest(board.path), tmp_path)):
        pass  # it opens again, and exclusively


def test_a_port_that_is_not_there_is_refused(tmp_path: Path):
    with pytest.raises(LinkError, match="no port /dev/nothing-here"):
        open_source(SourceRequest("/dev/nothing-here"), tmp_path)


def test_a_tcp_port_is_a_port(tmp_path: Path):
    with socket.create_server(("127.0.0.1", 0)) as server:
        name = f"socket://127.0.0.1:{server.getsockname()[1]}"
        with PortOf(open_source(SourceRequest(name), tmp_path)) as opened:
            assert opened.source.name == name


def test_standard_input_is_read_through_a_rig(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    with open(os.devnull) as nothing:
        monkeypatch.setattr(sys, "stdin", nothing)
        opened = open_source(SourceRequest("-", rig=rig(tmp_path)), tmp_path)
        assert isinstance(opened.source, StandardInput)
        assert opened.known is None


@pytest.mark.parametrize(("watched", "kind"), [(False, PracticeSource), (True, PacedPractice)])
def test_the_bench_takes_as_long_as_life_only_where_a_person_looks_on(
    tmp_path: Path, watched: bool, kind: type
):
    opened = open_source(SourceRequest("practice:wind-pump", watched=watched), tmp_path)
    assert isinstance(opened.source, kind)
    assert opened.source.name == "practice:wind-pump/as-found"


def test_the_bench_has_the_seed_and_the_fault_that_were_asked_for(tmp_path: Path):
    source = open_source(SourceRequest("practice:wind-pump", seed=7, fault="nick"), tmp_path).source
    same = PracticeSource("wind-pump", 7, "nick")
    assert isinstance(source, PracticeSource)
    assert source.now() == same.now()  # the day comes from the seed
    assert source.bench.scenario == same.bench.scenario != PracticeSource("wind-pump", 7).bench.scenario


@pytest.mark.parametrize(("more", "words"), [({"fault": "nothing"}, "nothing"), ({}, "no-such")])
def test_a_bench_that_is_not_there_is_refused(tmp_path: Path, more: dict[str, str], words: str):
    name = "practice:wind-pump" if more else "practice:no-such"
    with pytest.raises(BadInput, match=words):
        open_source(SourceRequest(name, **more), tmp_path)  # type: ignore[arg-type]


# --- patience ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("patient", "give_up_s"), [(False, 30.0), (True, math.inf)])
def test_how_long_a_lost_port_is_looked_for_is_asked_for(
    board: Cable, encoder: Cable, tmp_path: Path, patient: bool, give_up_s: float
):
    request = SourceRequest(board.path, rig=rig(tmp_path, TWO_PORTS), second=encoder.path, patient=patient)
    with PortOf(open_source(request, tmp_path)) as opened:
        source = opened.source
        assert isinstance(source, PairSource)
        found = [port._policy.give_up_s for port in (source._gauge, source._angle)]  # type: ignore[attr-defined]
        assert found == [give_up_s, give_up_s]


# --- what a recording is made of --------------------------------------------------------------------------


def recorded(opened: OpenedSource, path: Path, **more: object) -> Recorder:
    return opened.record(path, opened.setup({}), "0", **more)  # type: ignore[arg-type]


def test_the_set_up_is_the_benchs_then_the_rigs_then_what_was_typed(board: Cable, tmp_path: Path):
    bench = open_source(SourceRequest("practice:wind-pump"), tmp_path)
    theirs = bench.setup({})
    assert bench.setup({"part": "mine"}) == {**theirs, "part": "mine"}
    one = rig(tmp_path)
    with PortOf(open_source(SourceRequest(board.path, rig=one), tmp_path)) as opened:
        assert opened.setup({"rig.line.unit": "in"}) == {**dict(one.text), "rig.line.unit": "in"}


def test_a_gauge_that_wants_to_be_asked_is_asked_once_and_not_greeted(board: Cable, tmp_path: Path):
    with PortOf(open_source(SourceRequest(board.path, rig=rig(tmp_path)), tmp_path)) as opened:
        recorder = recorded(opened, tmp_path / "a.mcap")
        recorder.worker._round()
        recorder.worker._round()
        assert os.read(board.board, 100) == b"go;"
        recorder.stop()
        recorder.worker.run()
        recorder._threaded = False
        recorder.close()


def test_a_board_is_greeted_with_the_rate_that_was_asked_for(board: Cable, tmp_path: Path):
    with PortOf(open_source(SourceRequest(board.path, rate_hz=250), tmp_path)) as opened:
        recorder = recorded(opened, tmp_path / "a.mcap")
        recorder.worker._round()
        assert os.read(board.board, 100).startswith(b"hello")
        assert recorder.worker._greeting.make is not None
        assert ("rate", 250) in recorder.worker._greeting.make(1)._before
        recorder.stop()
        recorder.worker.run()
        recorder._threaded = False
        recorder.close()


def test_a_simulated_bench_is_recorded_without_a_thread(tmp_path: Path):
    opened = open_source(SourceRequest("practice:wind-pump"), tmp_path)
    recorder = recorded(opened, tmp_path / "a.mcap", until=Until(turns=1))
    list(recorder.messages())
    one = recorder.close()
    assert (one.turns, one.error) == (1, None)
    assert RecordingReader(tmp_path / "a.mcap").setup == opened.setup({})


# --- boards used before -----------------------------------------------------------------------------------


def test_a_board_that_answered_is_known_from_then_on(board: Cable, tmp_path: Path):
    with PortOf(open_source(SourceRequest(board.path), tmp_path)) as opened:
        assert KnownBoards(tmp_path).boards() == []
        opened.remember()
    assert [port.path for port in KnownBoards(tmp_path).boards()] == [board.path]


def test_of_two_ports_neither_is_remembered(board: Cable, encoder: Cable, tmp_path: Path):
    request = SourceRequest(board.path, rig=rig(tmp_path, TWO_PORTS), second=encoder.path)
    with PortOf(open_source(request, tmp_path)) as opened:
        opened.remember()
    assert KnownBoards(tmp_path).boards() == []


def test_the_bench_is_not_remembered(tmp_path: Path):
    open_source(SourceRequest("practice:wind-pump"), tmp_path).remember()
    assert KnownBoards(tmp_path).boards() == []


def test_a_name_that_another_program_takes_meanwhile_is_not_the_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def taken(folder: Path, part: str, now: datetime) -> Path:
        path = default_path(folder, part, now)
        if not list(folder.iterdir()):
            path.write_bytes(b"of another program")
        return path

    monkeypatch.setattr(opening, "default_path", taken)
    opened = OpenedSource(
        SourceRequest("practice:wind-pump/as-found"), PracticeSource("wind-pump/as-found", turns=1)
    )
    recorder = opened.record_unnamed(tmp_path, {"part": "hub"}, "0", now=datetime(2026, 1, 5, 8, 30, 15))
    list(recorder.messages())
    recorder.close()
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "2026-01-05-083015-hub-2.mcap",
        "2026-01-05-083015-hub.mcap",
    ]
    assert (tmp_path / "2026-01-05-083015-hub.mcap").read_bytes() == b"of another program"


def test_a_folder_that_is_not_there_is_told_and_not_tried_for_ever(tmp_path: Path) -> None:
    opened = OpenedSource(
        SourceRequest("practice:wind-pump/as-found"), PracticeSource("wind-pump/as-found", turns=1)
    )
    with pytest.raises(RecordingError, match="no folder"):
        opened.record_unnamed(tmp_path / "gone", {}, "0", now=datetime(2026, 1, 5))
