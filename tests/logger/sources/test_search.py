"""A board that went away is looked for by its identity, now and then, and not for ever."""

from pathlib import Path

import pytest

from logger.sources.known import PortInfo
from logger.sources.search import ReopenPolicy, Search

S = 1_000_000_000
WITH_NUMBER = PortInfo("/dev/ttyACM0", serial="A7", vendor_id=0x1209, product_id=1)


def _port(path: Path | str, serial: str = "", product_id: int = 1) -> PortInfo:
    return PortInfo(str(path), serial=serial, vendor_id=0x1209, product_id=product_id)


def _search(info: PortInfo, by_id: Path = Path("/none")) -> Search:
    return Search(info, ReopenPolicy(every_s=0.25, give_up_s=30), by_id)


def test_a_serial_number_is_followed_to_another_port():
    assert _search(WITH_NUMBER).find([_port("/dev/ttyACM4", "A7")]) == "/dev/ttyACM4"


def test_while_the_serial_number_is_not_there_nothing_is_found():
    assert _search(WITH_NUMBER).find([_port("/dev/ttyACM0", "B9")]) is None


def test_of_two_ports_with_one_serial_number_the_typed_one_is_taken():
    there = [_port("/dev/ttyACM0", "A7"), _port("/dev/ttyACM1", "A7")]
    assert _search(_port("/dev/ttyACM1", "A7")).find(there) == "/dev/ttyACM1"


def test_without_a_serial_number_the_by_id_name_is_followed(tmp_path):
    by_id, first, second = tmp_path / "by-id", tmp_path / "ttyUSB0", tmp_path / "ttyUSB1"
    by_id.mkdir()
    first.touch()
    (by_id / "usb-board").symlink_to(first)
    search = _search(_port(first), by_id)
    first.rename(second)
    (by_id / "usb-board").unlink()
    (by_id / "usb-board").symlink_to(second)
    assert search.find([_port(second)]) == str(by_id / "usb-board")


def test_without_either_the_path_as_typed_is_taken(tmp_path):
    path = tmp_path / "port"
    path.touch()
    assert _search(PortInfo(str(path))).find([]) == str(path)


def test_a_path_that_is_not_there_is_not_taken(tmp_path):
    assert _search(PortInfo(str(tmp_path / "port"))).find([]) is None


def test_another_kind_of_device_on_the_typed_path_is_not_taken(tmp_path):
    path = tmp_path / "port"
    path.touch()
    assert _search(_port(path)).find([_port(path, product_id=9)]) is None


def test_an_address_is_always_worth_a_try():
    assert _search(PortInfo("socket://127.0.0.1:1")).find([]) == "socket://127.0.0.1:1"


def test_it_is_looked_for_at_once_and_then_every_quarter_second():
    search = _search(WITH_NUMBER)
    search.begin(100 * S)
    times_ms = (0, 1, 249, 250, 300, 499, 500)
    assert [ms for ms in times_ms if search.is_due(100 * S + ms * S // 1000)] == [0, 250, 500]


def test_it_is_given_up_after_half_a_minute():
    search = _search(WITH_NUMBER)
    search.begin(100 * S)
    assert [search.given_up(t * S) for t in (100, 129, 130)] == [False, False, True]


def test_a_search_without_end_is_never_given_up():
    search = Search(WITH_NUMBER, ReopenPolicy(give_up_s=float("inf")))
    search.begin(0)
    assert not search.given_up(10**9 * S)


@pytest.mark.parametrize("give_up_s", [0.0])
def test_a_policy_of_no_time_gives_up_at_once(give_up_s):
    search = Search(WITH_NUMBER, ReopenPolicy(give_up_s=give_up_s))
    search.begin(5 * S)
    assert search.given_up(5 * S)


def test_a_path_that_leads_elsewhere_has_moved(tmp_path):
    link = tmp_path / "port"
    link.symlink_to("/dev/null")
    search = _search(PortInfo(str(link)))
    link.unlink()
    link.symlink_to("/dev/zero")
    assert (search.moved(str(link)), search.moved(str(link))) == (True, False)
