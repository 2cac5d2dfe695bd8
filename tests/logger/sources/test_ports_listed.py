"""Ports as they are listed: with what the devices tell, what is known, and nothing opened."""

from port_sources import listed
from pseudo_terminals import Cable, cable, lead_to
from serial.tools import list_ports

from logger.sources import port as port_module
from logger.sources.known import PortInfo
from logger.sources.port import describe, ports


def test_ports_are_listed_with_what_the_devices_tell(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[listed("/dev/ttyACM0", serial="A7")])
    assert ports(known) == [
        PortInfo("/dev/ttyACM0", "Workshop", "Sweep board", "A7", False, vendor_id=0x1209, product_id=0x0001)
    ]


def test_a_known_board_is_marked_in_the_list(known, mocker):
    mocker.patch.object(list_ports, "comports", return_value=[listed("/dev/ttyACM3", serial="A7")])
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
    mocker.patch.object(list_ports, "comports", return_value=[listed("/dev/ttyACM0", product="\x1b[31mred")])
    assert ports(known)[0].product == "?[31mred"


def test_a_device_that_vanishes_while_listed_leaves_an_empty_list(known, mocker):
    # What the library raises then (3.5): it reads a number from a file that is gone.
    mocker.patch.object(list_ports, "comports", side_effect=TypeError("int() argument must be a string"))
    assert ports(known) == []


def test_a_path_that_leads_to_a_listed_port_has_its_identity(known, mocker, tmp_path):
    with cable() as board:
        lead_to(tmp_path / "port", board)
        mocker.patch.object(list_ports, "comports", return_value=[listed(board.path, serial="A7")])
        found = describe(str(tmp_path / "port"), known)
    assert (found.path, found.serial) == (str(tmp_path / "port"), "A7")
