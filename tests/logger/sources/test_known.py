"""The list of boards used before: kept, matched by USB identity or path, and never taken on trust."""

from pathlib import Path

import pytest
from faulty_folders import open_folder, without_rights
from hypothesis import given, strategies as st

from analysis.errors import BadInput
from logger.sources.known import KnownBoards, PortInfo, config_folder

USB = PortInfo("/dev/ttyACM0", "Workshop", "Sweep board", "A7", False, vendor_id=0x1209, product_id=1)
NUMBERLESS = PortInfo("/dev/ttyUSB0", vendor_id=0x1209, product_id=2)


@pytest.fixture
def known(tmp_path: Path) -> KnownBoards:
    return KnownBoards(tmp_path)


def test_no_board_is_known_at_first(known):
    assert known.boards() == []


def test_a_remembered_board_is_known_to_the_next_run(known):
    known.remember(USB)
    assert KnownBoards(known.path.parent).is_known(USB)


def test_a_board_with_a_serial_number_is_known_on_any_port(known):
    known.remember(USB)
    assert known.is_known(PortInfo("/dev/ttyACM5", serial="A7", vendor_id=0x1209, product_id=1))


def test_another_serial_number_on_the_same_port_is_a_stranger(known):
    known.remember(USB)
    assert not known.is_known(PortInfo("/dev/ttyACM0", serial="B9", vendor_id=0x1209, product_id=1))


def test_a_board_without_a_serial_number_is_known_on_its_port_only(known):
    known.remember(NUMBERLESS)
    assert known.is_known(NUMBERLESS)
    assert not known.is_known(PortInfo("/dev/ttyUSB1", vendor_id=0x1209, product_id=2))


def test_a_usb_device_on_a_path_typed_before_is_a_stranger(known):
    known.remember(PortInfo("/dev/ttyUSB0"))
    assert not known.is_known(NUMBERLESS)


def test_a_typed_path_is_known(known):
    known.remember(PortInfo("socket://127.0.0.1:4711"))
    assert known.is_known(PortInfo("socket://127.0.0.1:4711"))


def test_remembering_twice_keeps_one_entry_with_the_newest_path(known):
    known.remember(USB)
    known.remember(PortInfo("/dev/ttyACM5", serial="A7", vendor_id=0x1209, product_id=1))
    assert [board.path for board in known.boards()] == ["/dev/ttyACM5"]


def test_other_boards_stay_when_one_is_added(known):
    known.remember(USB)
    known.remember(NUMBERLESS)
    assert len(known.boards()) == 2


@given(path=st.text(min_size=1), product=st.text(), serial=st.text())
def test_whatever_a_device_calls_itself_is_read_back_as_it_was(path, product, serial):
    port = PortInfo(path, "", product, serial, True, vendor_id=1, product_id=2)
    with open_folder() as folder:
        KnownBoards(folder).remember(port)
        assert KnownBoards(folder).boards() == [port]


def test_no_half_written_list_is_left_behind(known):
    known.remember(USB)
    assert [path.name for path in known.path.parent.iterdir()] == ["known.toml"]


@pytest.mark.parametrize(
    "text", ["board = 3", "[[board]]\nproduct = 'x'", "[[board", "[board]\npath = 'x'", "board = ['x']"]
)
def test_a_damaged_list_is_refused_with_what_to_do(known, text):
    known.path.write_text(text)
    with pytest.raises(BadInput, match="correct or delete it"):
        known.boards()


def test_bytes_that_are_no_text_are_refused(known):
    known.path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadInput, match="correct or delete it"):
        known.boards()


def test_a_folder_that_cannot_be_written_is_told():
    with open_folder() as folder:
        folder.chmod(0o555)
        with without_rights(), pytest.raises(BadInput, match="cannot be written"):
            KnownBoards(folder).remember(USB)
        folder.chmod(0o755)


def test_a_config_folder_can_be_named_in_the_environment():
    assert config_folder({"FULLTURN_CONFIG": "/somewhere/else"}) == Path("/somewhere/else")


def test_the_config_folder_is_the_users_own_otherwise():
    assert config_folder({}).name == "fullturn"
