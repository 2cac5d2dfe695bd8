"""A port whose cable is pulled and put back, or whose board stays away: each gap is noted, nothing hangs."""

import termios
from contextlib import closing, contextmanager

import pytest
from port_sources import listed, no_wait, read_bytes, until_lost
from pseudo_terminals import cable, lead_to
from serial.tools import list_ports

from analysis.capture.events import GapCause, LinkLost, LinkReopened
from analysis.errors import LinkError
from logger.sources.port import PortSource
from logger.sources.search import ReopenPolicy
from logger.stream import LinkBytes, RecordedEvent


@contextmanager
def unplugged_port(known, folder):
    """Yield a port whose board was pulled, and what plugs another one in at the same place."""
    link = folder / "port"
    with cable() as first, cable() as second:

        def plug_in():
            lead_to(link, second)
            return second

        lead_to(link, first)
        with closing(PortSource(str(link), picked=True, known=known, wait=no_wait)) as source:
            first.unplug()
            until_lost(source)
            yield source, plug_in


def test_pulling_the_cable_is_noted_once(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=no_wait)) as source:
        board.unplug()
        (event,) = until_lost(source)
        assert isinstance(event, RecordedEvent)
        assert event.event == LinkLost(GapCause.UNPLUGGED)
        assert source.read(0) == []


def test_a_pulled_cable_of_a_second_link_says_which(known):
    with (
        cable() as board,
        closing(PortSource(board.path, picked=True, known=known, link=1, wait=no_wait)) as source,
    ):
        board.unplug()
        (event,) = until_lost(source)
        assert isinstance(event, RecordedEvent)
        assert event.event == LinkLost(GapCause.UNPLUGGED, link=1)


def test_writing_to_a_pulled_cable_is_a_gap_and_no_error(known):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=no_wait)) as source:
        board.unplug()
        source.write(b"hello\n")
        (event,) = source.read(0)
        assert isinstance(event, RecordedEvent)
        assert event.event == LinkLost(GapCause.UNPLUGGED)


def test_a_board_plugged_in_again_is_opened_again(known, tmp_path):
    with unplugged_port(known, tmp_path) as (source, plug_in):
        board = plug_in()
        (event,) = source.read(0)
        assert isinstance(event, RecordedEvent)
        assert isinstance(event.event, LinkReopened)
        board.send(b"back")
        assert read_bytes(source, 4) == b"back"


def test_a_board_is_found_by_its_serial_number_wherever_it_is_plugged_in(known, mocker):
    with cable() as first, cable() as second:
        there = mocker.patch.object(list_ports, "comports", return_value=[listed(first.path, serial="A7")])
        with closing(PortSource(first.path, picked=True, known=known, wait=no_wait)) as source:
            first.unplug()
            until_lost(source)
            there.return_value = [listed(second.path, serial="A7")]
            (event,) = source.read(0)
            assert isinstance(event, RecordedEvent)
            assert event.event == LinkReopened(second.path)


def test_another_board_in_the_same_place_is_left_alone(known, mocker, tmp_path):
    link = tmp_path / "port"
    with cable() as first, cable() as second:
        lead_to(link, first)
        there = mocker.patch.object(list_ports, "comports", return_value=[listed(first.path, serial="A7")])
        with closing(PortSource(str(link), picked=True, known=known, wait=no_wait)) as source:
            first.unplug()
            until_lost(source)
            lead_to(link, second)
            there.return_value = [listed(second.path, serial="B9")]
            assert source.read(0) == []


def test_commands_while_unplugged_are_dropped(known, tmp_path):
    with unplugged_port(known, tmp_path) as (source, plug_in):
        source.write(b"lost\n")
        board = plug_in()
        source.read(0)
        source.write(b"start\n")
        assert board.received(6) == b"start\n"


def test_a_board_that_stays_away_is_given_up(known, clock):
    policy = ReopenPolicy(give_up_s=30)
    with (
        cable() as board,
        closing(
            PortSource(board.path, picked=True, known=known, clock=clock, wait=no_wait, policy=policy)
        ) as source,
    ):
        board.unplug()
        until_lost(source)
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
        until_lost(source)
        source.read(0.02)
        assert waits == [0.02]


def test_a_terminal_error_in_the_middle_counts_as_unplugged(known, mocker):
    # A driver may raise this from a port whose device vanished; a pseudo-terminal never does.
    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=no_wait)) as source:
        mocker.patch.object(source._port, "read", side_effect=termios.error(5, "Input/output error"))
        (event,) = source.read(0)
        assert isinstance(event, RecordedEvent)
        assert event.event == LinkLost(GapCause.UNPLUGGED)


def test_bytes_read_before_the_fault_are_kept(known, mocker):
    with cable() as board, closing(PortSource(board.path, picked=True, known=known, wait=no_wait)) as source:
        mocker.patch.object(source._port, "read", side_effect=[b"a", OSError(5, "Input/output error")])
        bytes_read, event = source.read(0)
        assert isinstance(bytes_read, LinkBytes)
        assert bytes_read.data == b"a"
        assert isinstance(event, RecordedEvent)
        assert event.host.monotonic_ns >= bytes_read.host.monotonic_ns
