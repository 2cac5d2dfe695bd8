"""A port as a source, on real pseudo-terminals and sockets: bytes and commands, opened or refused."""

import grp
import socket
import termios
import threading
from contextlib import closing
from pathlib import Path

import pytest
from faulty_folders import open_folder, without_rights
from port_sources import PATIENCE_S, listed, no_wait, read_bytes, until_lost
from pseudo_terminals import cable
from serial.tools import list_ports

from analysis.capture.events import LinkReopened
from analysis.errors import BadInput, LinkError
from logger.sources import port as port_module
from logger.sources.known import KnownBoards, PortInfo
from logger.sources.port import PortSource
from logger.stream import LinkBytes, RecordedEvent


def _refusal(path: str, known: KnownBoards, **options: object) -> str:
    with pytest.raises(LinkError) as refused:
        PortSource(path, picked=True, known=known, **options)
    assert refused.value.exit_status == 4
    assert "\n" not in str(refused.value)
    return str(refused.value)


def test_bytes_come_as_they_were_sent(known):
    data = bytes(range(256))
    with cable() as board, closing(PortSource(board.path, picked=True, known=known)) as source:
        board.send(data)
        assert read_bytes(source, 256) == data


def test_bytes_carry_the_hosts_time_and_the_number_of_the_link(known, clock):
    clock.s = 7.5
    with (
        cable() as board,
        closing(PortSource(board.path, picked=True, known=known, clock=clock, link=1)) as source,
    ):
        board.send(b"x")
        assert source.read(PATIENCE_S) == [LinkBytes(clock(), b"x", 1)]


def test_bytes_sent_close_together_come_together(known):
    def wait(_: float) -> None:
        board.send(b"bc")

    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=wait)) as source:
        board.send(b"a")
        (item,) = source.read(PATIENCE_S)
        assert isinstance(item, LinkBytes)
        assert item.data == b"abc"


def test_a_silent_board_gives_an_empty_list(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known)) as source:
        assert source.read(0) == []


def test_commands_reach_the_board(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known)) as source:
        source.write(b"1 hello\n")
        assert board.received(8) == b"1 hello\n"


def test_levels_and_low_latency_are_no_hindrance_where_a_port_has_none(known):
    with (
        cable() as board,
        closing(
            PortSource(board.path, picked=True, known=known, dtr=False, rts=False, low_latency=True)
        ) as source,
    ):
        board.send(b"ok")
        assert read_bytes(source, 2) == b"ok"


def test_a_port_that_takes_no_command_is_an_error_of_the_link(known, monkeypatch):
    monkeypatch.setattr(port_module, "WRITE_S", 0.01)  # the board never reads: the wait would be in vain
    with (
        cable() as board,
        closing(PortSource(board.path, picked=True, known=known)) as source,
        pytest.raises(LinkError, match="accepted no command"),
    ):
        source.write(bytes(1 << 20))


def test_cancel_ends_a_read_that_waits(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known)) as source:
        reader = threading.Thread(target=source.read, args=(60.0,))
        reader.start()
        source.cancel()
        reader.join(PATIENCE_S)
        assert not reader.is_alive()


def test_close_twice_is_harmless(known):
    with cable() as board:
        source = PortSource(board.path, picked=True, known=known)
        source.close()
        source.close()
        assert source.read(0) == []


def test_a_closed_port_can_be_opened_by_others(known):
    with cable() as board:
        PortSource(board.path, picked=True, known=known).close()
        PortSource(board.path, picked=True, known=known).close()


def test_a_port_never_ends(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known)) as source:
        assert not source.at_end


def test_a_board_never_used_and_not_picked_is_not_opened(known, mocker):
    opened = mocker.spy(port_module.serial, "serial_for_url")
    with cable() as board, pytest.raises(LinkError, match="never used before"):
        PortSource(board.path, picked=False, known=known)
    assert opened.call_count == 0


def test_a_board_used_before_is_opened_without_being_picked(known):
    with cable() as board:
        known.remember(PortInfo(board.path))
        with closing(PortSource(board.path, picked=False, known=known)) as source:
            board.send(b"x")
            assert read_bytes(source, 1) == b"x"


def test_a_missing_port_is_refused_with_what_is_there(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[listed("/dev/ttyACM0")])
    refused = _refusal("/dev/ttyNONE", known)
    assert refused.startswith("no port /dev/ttyNONE: found /dev/ttyACM0 (Sweep board)")


def test_a_missing_port_where_there_is_none_says_so(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[])
    assert "no serial port is there at all" in _refusal("/dev/ttyNONE", known)


def test_a_port_held_by_another_program_is_refused(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known)):
        assert "held by another program" in _refusal(board.path, known)


def test_a_port_without_rights_is_refused_with_its_group():
    with cable() as board, open_folder() as folder:
        Path(board.path).chmod(0o000)
        group = grp.getgrgid(Path(board.path).stat().st_gid).gr_name
        with without_rights():
            assert f"it belongs to the group {group}; join it" in _refusal(board.path, KnownBoards(folder))


def test_a_file_is_no_port(known, tmp_path):
    (tmp_path / "notes.txt").write_text("not a port")
    assert "is no serial port" in _refusal(str(tmp_path / "notes.txt"), known)


def test_a_folder_is_no_port(known, tmp_path):
    assert "is no serial port" in _refusal(str(tmp_path), known)


def test_a_terminal_error_while_opening_is_told_in_words(known, mocker):
    mocker.patch.object(port_module.serial.Serial, "open", side_effect=termios.error(5, "Input/output error"))
    assert "does not open (Input/output error)" in _refusal("/dev/ttyNONE", known)


def test_a_baud_that_cannot_be_is_refused(known):
    with cable() as board, pytest.raises(BadInput, match="at -1 baud"):
        PortSource(board.path, picked=True, known=known, baud=-1)


def test_a_parity_that_is_none_of_three_is_refused(known):
    with pytest.raises(BadInput, match="none, even, odd"):
        PortSource("/dev/ttyNONE", picked=True, known=known, parity="mark")


@pytest.mark.parametrize("path", ["loop://", "spy:///dev/ttyS0", "http://127.0.0.1"])
def test_other_addresses_are_refused(known, path):
    with pytest.raises(BadInput, match="socket://HOST:PORT"):
        PortSource(path, picked=True, known=known)


def test_a_socket_serves_as_a_port(known):
    with socket.create_server(("127.0.0.1", 0)) as server:
        path = f"socket://127.0.0.1:{server.getsockname()[1]}"
        with closing(PortSource(path, picked=True, known=known)) as source:
            board, _ = server.accept()
            with board:
                board.sendall(b"frame\x00" * 100)
                assert read_bytes(source, 600) == b"frame\x00" * 100
                source.write(b"1 hello\n")
                assert board.recv(8, socket.MSG_WAITALL) == b"1 hello\n"


def test_a_socket_that_was_closed_is_opened_again(known):
    with socket.create_server(("127.0.0.1", 0)) as server:
        path = f"socket://127.0.0.1:{server.getsockname()[1]}"
        with closing(PortSource(path, picked=True, known=known, wait=no_wait)) as source:
            server.accept()[0].close()
            until_lost(source)
            (event,) = source.read(0)
            assert isinstance(event, RecordedEvent)
            assert event.event == LinkReopened()
            server.accept()[0].close()


def test_an_address_where_nothing_listens_is_refused(known):
    with socket.create_server(("127.0.0.1", 0)) as server:
        number = server.getsockname()[1]
    assert "nothing answers at" in _refusal(f"socket://127.0.0.1:{number}", known)


def test_an_address_without_a_number_is_refused(known):
    assert "nothing answers at" in _refusal("socket://127.0.0.1:ten", known)
