"""A port as a source, on real pseudo-terminals and sockets: bytes, cables pulled and put back, refusals."""

import grp
import socket
import termios
import threading
from contextlib import closing
from pathlib import Path

import pytest
from faulty_folders import open_folder, without_rights
from pseudo_terminals import Cable, cable, lead_to
from serial.tools import list_ports
from serial.tools.list_ports_common import ListPortInfo

from analysis.capture.events import GapCause, LinkLost, LinkReopened
from analysis.errors import BadInput, LinkError
from logger.sources import port as port_module
from logger.sources.known import KnownBoards, PortInfo
from logger.sources.port import PortSource, describe, ports
from logger.sources.search import ReopenPolicy
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent

PATIENCE_S = 10.0
"""Longest time a read may wait for bytes that are on their way; it returns as soon as they are there."""


class Clock:
    """A clock that stands still until it is moved."""

    def __init__(self) -> None:
        self.s = 0.0

    def __call__(self) -> HostTime:
        return HostTime(round((1000 + self.s) * 1e9), round(self.s * 1e9))


@pytest.fixture
def known(tmp_path: Path) -> KnownBoards:
    return KnownBoards(tmp_path / "config")


@pytest.fixture
def clock() -> Clock:
    return Clock()


def _listed(path: str, *, serial: str | None = None, product: str = "Sweep board") -> ListPortInfo:
    info = ListPortInfo(path)
    info.vid, info.pid, info.serial_number = 0x1209, 0x0001, serial
    info.manufacturer, info.product = "Workshop", product
    return info


def _read_bytes(source: PortSource, count: int) -> bytes:
    """Read until so many bytes have come, in however many pieces."""
    data = b""
    while len(data) < count:
        items = source.read(PATIENCE_S)
        assert items, "nothing came"
        data += b"".join(item.data for item in items if isinstance(item, LinkBytes))
    return data


def _until_lost(source: PortSource) -> list[Item]:
    items: list[Item] = []
    while not any(isinstance(item, RecordedEvent) for item in items):
        items += source.read(PATIENCE_S)
    return items


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
        assert _read_bytes(source, 256) == data


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
        assert _read_bytes(source, 2) == b"ok"


def test_pulling_the_cable_is_noted_once(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=_no_wait)) as source:
        board.unplug()
        (event,) = _until_lost(source)
        assert isinstance(event, RecordedEvent)
        assert event.event == LinkLost(GapCause.UNPLUGGED)
        assert source.read(0) == []


def _no_wait(_: float) -> None:
    pass


def test_a_pulled_cable_of_a_second_link_says_which(known):
    with (
        cable() as board,
        closing(PortSource(board.path, picked=True, known=known, link=1, wait=_no_wait)) as source,
    ):
        board.unplug()
        (event,) = _until_lost(source)
        assert isinstance(event, RecordedEvent)
        assert event.event == LinkLost(GapCause.UNPLUGGED, link=1)


def test_writing_to_a_pulled_cable_is_a_gap_and_no_error(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=_no_wait)) as source:
        board.unplug()
        source.write(b"hello\n")
        (event,) = source.read(0)
        assert isinstance(event, RecordedEvent)
        assert event.event == LinkLost(GapCause.UNPLUGGED)


def test_a_board_plugged_in_again_is_opened_again(known, tmp_path):
    link = tmp_path / "port"
    with cable() as first, cable() as second:
        lead_to(link, first)
        with closing(PortSource(str(link), picked=True, known=known, wait=_no_wait)) as source:
            first.unplug()
            _until_lost(source)
            lead_to(link, second)
            (event,) = source.read(0)
            assert isinstance(event, RecordedEvent)
            assert isinstance(event.event, LinkReopened)
            second.send(b"back")
            assert _read_bytes(source, 4) == b"back"


def test_a_board_is_found_by_its_serial_number_wherever_it_is_plugged_in(known, mocker):
    with cable() as first, cable() as second:
        there = mocker.patch.object(list_ports, "comports", return_value=[_listed(first.path, serial="A7")])
        with closing(PortSource(first.path, picked=True, known=known, wait=_no_wait)) as source:
            first.unplug()
            _until_lost(source)
            there.return_value = [_listed(second.path, serial="A7")]
            (event,) = source.read(0)
            assert isinstance(event, RecordedEvent)
            assert event.event == LinkReopened(second.path)


def test_another_board_in_the_same_place_is_left_alone(known, mocker, tmp_path):
    link = tmp_path / "port"
    with cable() as first, cable() as second:
        lead_to(link, first)
        there = mocker.patch.object(list_ports, "comports", return_value=[_listed(first.path, serial="A7")])
        with closing(PortSource(str(link), picked=True, known=known, wait=_no_wait)) as source:
            first.unplug()
            _until_lost(source)
            lead_to(link, second)
            there.return_value = [_listed(second.path, serial="B9")]
            assert source.read(0) == []


def test_commands_while_unplugged_are_dropped(known, tmp_path):
    link = tmp_path / "port"
    with cable() as first, cable() as second:
        lead_to(link, first)
        with closing(PortSource(str(link), picked=True, known=known, wait=_no_wait)) as source:
            first.unplug()
            _until_lost(source)
            source.write(b"lost\n")
            lead_to(link, second)
            source.read(0)
            source.write(b"start\n")
            assert second.received(6) == b"start\n"


def test_a_board_that_stays_away_is_given_up(known, clock):
    policy = ReopenPolicy(give_up_s=30)
    with (
        cable() as board,
        closing(
            PortSource(board.path, picked=True, known=known, clock=clock, wait=_no_wait, policy=policy)
        ) as source,
    ):
        board.unplug()
        _until_lost(source)
        clock.s = 29.9
        assert source.read(0) == []
        clock.s = 30
        with pytest.raises(LinkError, match="did not come back within 30 s"):
            source.read(0)


def test_waiting_for_a_board_lasts_no_longer_than_was_asked(known):
    waits: list[float] = []
    with (
        cable() as board,
        closing(PortSource(board.path, picked=True, known=known, wait=waits.append)) as source,
    ):
        board.unplug()
        _until_lost(source)
        source.read(0.02)
        assert waits == [0.02]


def test_a_terminal_error_in_the_middle_counts_as_unplugged(known, mocker):
    # A driver may raise this from a port whose device vanished; a pseudo-terminal never does.
    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=_no_wait)) as source:
        mocker.patch.object(source._port, "read", side_effect=termios.error(5, "Input/output error"))
        (event,) = source.read(0)
        assert isinstance(event, RecordedEvent)
        assert event.event == LinkLost(GapCause.UNPLUGGED)


def test_bytes_read_before_the_fault_are_kept(known, mocker):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=_no_wait)) as source:
        mocker.patch.object(source._port, "read", side_effect=[b"a", OSError(5, "Input/output error")])
        bytes_read, event = source.read(0)
        assert isinstance(bytes_read, LinkBytes)
        assert bytes_read.data == b"a"
        assert isinstance(event, RecordedEvent)
        assert event.host.monotonic_ns >= bytes_read.host.monotonic_ns


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
            assert _read_bytes(source, 1) == b"x"


def test_a_missing_port_is_refused_with_what_is_there(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[_listed("/dev/ttyACM0")])
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
                assert _read_bytes(source, 600) == b"frame\x00" * 100
                source.write(b"1 hello\n")
                assert board.recv(8, socket.MSG_WAITALL) == b"1 hello\n"


def test_a_socket_that_was_closed_is_opened_again(known):
    with socket.create_server(("127.0.0.1", 0)) as server:
        path = f"socket://127.0.0.1:{server.getsockname()[1]}"
        with closing(PortSource(path, picked=True, known=known, wait=_no_wait)) as source:
            server.accept()[0].close()
            _until_lost(source)
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


def test_ports_are_listed_with_what_the_devices_tell(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[_listed("/dev/ttyACM0", serial="A7")])
    assert ports(known) == [
        PortInfo("/dev/ttyACM0", "Workshop", "Sweep board", "A7", False, vendor_id=0x1209, product_id=0x0001)
    ]


def test_a_known_board_is_marked_in_the_list(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[_listed("/dev/ttyACM3", serial="A7")])
    known.remember(PortInfo("/dev/ttyACM0", serial="A7", vendor_id=0x1209, product_id=0x0001))
    assert [port.known for port in ports(known)] == [True]


def test_a_pseudo_terminal_used_before_is_listed_while_it_exists(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[])
    board = Cable()
    known.remember(PortInfo(board.path))
    there = [port.path for port in ports(known)]
    board.unplug()
    assert (there, ports(known)) == ([board.path], [])


def test_listing_opens_nothing(known, mocker):
    opened = mocker.spy(port_module.serial, "serial_for_url")
    ports(known)
    assert opened.call_count == 0


def test_control_characters_in_device_texts_become_question_marks(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[_listed("/dev/ttyACM0", product="\x1b[31mred")])
    assert ports(known)[0].product == "?[31mred"


def test_a_device_that_vanishes_while_listed_leaves_an_empty_list(known, mocker):
    # What the library raises then (3.5): it reads a number from a file that is gone.
    mocker.patch.object(list_ports, "comports", side_effect=TypeError("int() argument must be a string"))
    assert ports(known) == []


def test_a_path_that_leads_to_a_listed_port_has_its_identity(known, mocker, tmp_path):
    with cable() as board:
        lead_to(tmp_path / "port", board)
        mocker.patch.object(list_ports, "comports", return_value=[_listed(board.path, serial="A7")])
        found = describe(str(tmp_path / "port"), known)
    assert (found.path, found.serial) == (str(tmp_path / "port"), "A7")
