"""The identity of the mark that angles count from: one text for one mark, another for every other."""

import pytest
from boards import PER_TURN, ScriptedBoard, host

from analysis.capture.events import MarkTouched
from analysis.setup import MarkSide
from logger.session.session import Session


def session_of(board: ScriptedBoard, **setup: str) -> Session:
    session = Session(setup)
    board.sample(0, 0, 0)
    session.feed(host(0), board.take())
    return session


def greeted(boot_id: int = 7) -> ScriptedBoard:
    board = ScriptedBoard()
    board.greet(boot_id=boot_id)
    board.describe()
    return board


def identity(session: Session, recording_id: str = "r-1") -> str | None:
    mark = session.mark
    return None if mark is None else mark.identity(recording_id)


def touch(session: Session, count: int, on: MarkSide = MarkSide.PART) -> Session:
    session.take_event(MarkTouched(on, count))
    return session


def test_one_mark_of_one_boot_is_the_same_in_two_recordings():
    first, second = (touch(session_of(greeted()), 300) for _ in range(2))
    assert identity(first, "r-1") == identity(second, "r-2")


def test_a_mark_touched_anew_at_another_angle_is_another():
    session = touch(session_of(greeted()), 300)
    before = identity(session)
    assert identity(touch(session, 310)) != before


def test_a_mark_touched_again_at_its_own_angle_is_the_same():
    session = touch(session_of(greeted()), 300)
    before = identity(session)
    assert identity(touch(session, 300 + PER_TURN)) == before


def test_the_same_count_of_another_boot_is_another_mark():
    assert identity(session_of(greeted(7))) != identity(session_of(greeted(8)))


def test_part_and_arbor_have_marks_of_their_own():
    part = touch(session_of(greeted()), 300)
    arbor = touch(session_of(greeted(), mark_on="arbor"), 300, MarkSide.ARBOR)
    assert identity(part) != identity(arbor)


def test_an_index_mark_is_the_same_in_every_boot():
    found = []
    for boot_id in (7, 8):
        board = greeted(boot_id)
        board.index(0, 100 * boot_id, 1)
        found.append(identity(session_of(board, mark="index")))
    assert found[0] == found[1]
    assert found[0] is not None


def test_after_a_restart_there_is_no_mark_until_one_is_touched():
    board = greeted()
    session = session_of(board)
    board.greet(boot_id=8)
    session.feed(host(1), board.take())
    assert session.mark is None


@pytest.mark.parametrize("source", ["steady", "none"])
def test_a_spin_without_a_mark_counts_from_none(source: str):
    session = session_of(greeted(), angle_source="steady") if source == "steady" else Session()
    assert session.mark is None


def test_without_a_board_a_mark_is_known_in_its_own_recording_only():
    session = session_of(greeted(), angle_source="stops")
    assert identity(session, "r-1") != identity(session, "r-2")
