"""Twice the bytes, twice the work, whatever is in them: lines of the program are counted, and no clock is read."""

import random
from collections.abc import Callable

import pytest
from boards import ScriptedBoard, host
from work_done import growth

from analysis.capture.events import LinkLost, MarkTouched
from analysis.setup import MarkSide
from logger.session.session import Session


def hellos(board: ScriptedBoard, k: int) -> None:
    """Say hello as another boot each time."""
    board.greet(boot_id=k)


def counts_of_others(board: ScriptedBoard, k: int) -> None:
    """Say other counts per turn each time."""
    board.greet(per_turn=k)


def scales(board: ScriptedBoard, k: int) -> None:
    """Scale otherwise each time, and have a reading."""
    board.describe(scale_nm=1000 + k % 2)
    board.sample(1000 * k, 10 * k, k)


def of_two_channels(board: ScriptedBoard, k: int) -> None:
    """Scale one channel otherwise each time, and say of the other what was said before."""
    board.describe(1, scale_nm=1000 + k % 2)
    board.describe()


def pulses(board: ScriptedBoard, k: int) -> None:
    """Pass the index, backwards."""
    board.index(1000 * k, 10 * k, -k)


def lost(board: ScriptedBoard, k: int) -> None:
    """Lose a frame before each reading."""
    board.lose(1)
    board.sample(1000 * k, 10 * k, k)


def boots_and_readings(board: ScriptedBoard, k: int) -> None:
    """Restart before each reading."""
    board.greet(boot_id=k)
    board.describe()
    board.sample(1000 * k, 10 * k, k)


KINDS = [hellos, counts_of_others, scales, of_two_channels, pulses, lost, boots_and_readings]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
@pytest.mark.parametrize("live", [False, True], ids=["from a file", "live"])
def test_frames_cost_their_number(kind: Callable[[ScriptedBoard, int], None], live: bool):
    def take(n: int) -> None:
        board, session = ScriptedBoard(), Session(live=live)
        board.greet()
        board.describe()
        board.sample(0, 0, 0)
        for k in range(n):
            kind(board, k)
        session.feed(host(0), board.take())
        session.capture()

    assert growth(take, 300) < 2.2


@pytest.mark.parametrize("live", [False, True], ids=["from a file", "live"])
def test_events_cost_their_number(live: bool):
    def take(n: int) -> None:
        board, session = ScriptedBoard(), Session(live=live)
        board.greet()
        board.describe()
        for k in range(n):
            board.sample(1000 * k, 10 * k, k)
            session.feed(host(0), board.take())
            session.take_event(MarkTouched((MarkSide.PART, MarkSide.ARBOR)[k % 2], k))
            session.take_event(LinkLost("stalled"))
        session.capture()

    assert growth(take, 300) < 2.2


def test_bytes_at_random_cost_their_number():
    data = random.Random(8).randbytes(80_000)

    def take(n: int) -> None:
        session = Session(live=False)
        session.feed(host(0), data[:n])
        session.flush()

    assert growth(take, 40_000) < 2.2
