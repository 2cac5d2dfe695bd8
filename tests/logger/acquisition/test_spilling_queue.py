"""What waits too long lies on disk: in order, all of it, with bounded memory, and gone when it has been taken."""

import errno
import io
import queue
import random
import tempfile
import threading
import tracemalloc
from collections import deque
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, strategies as st

from logger.acquisition import spilling_queue
from logger.acquisition.spilling_queue import SpillingQueue


def spilling(most_bytes: int, folder: Path | None = None) -> SpillingQueue[bytes]:
    return SpillingQueue(most_bytes, len, folder)


def taken(waiting: SpillingQueue[bytes]) -> list[bytes]:
    return [waiting.get_nowait() for _ in range(waiting.qsize())]


@given(st.lists(st.none() | st.binary(max_size=60), max_size=80), st.integers(0, 200), st.integers(1, 300))
def test_it_is_any_queue_whatever_lies_on_disk(steps: list[bytes | None], most: int, of_a_file: int):
    """A step puts an item or, None, takes one; held against a plain deque."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spilling_queue, "BYTES_OF_A_FILE", of_a_file)
        waiting, plain = spilling(most), deque[bytes]()
        for step in steps:
            if step is not None:
                waiting.put(step)
                plain.append(step)
            elif plain:
                assert waiting.get_nowait() == plain.popleft()
            else:
                assert waiting.empty()
                with pytest.raises(queue.Empty):
                    waiting.get_nowait()
            assert waiting.qsize() == len(plain)
        assert taken(waiting) == list(plain)
        assert waiting.bytes_in_memory == waiting.bytes_on_disk == 0


def test_memory_is_bounded_however_much_waits(tmp_path: Path):
    waiting, one = spilling(1 << 20, tmp_path), random.Random(1).randbytes(1 << 16)
    tracemalloc.start()
    try:
        for number in range(1024):  # 64 MiB
            waiting.put(one + number.to_bytes(2))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 4 << 20
    assert waiting.bytes_in_memory <= 1 << 20
    assert [item[-2:] for item in taken(waiting)] == [number.to_bytes(2) for number in range(1024)]


def test_the_disk_is_given_back_also_where_whoever_takes_never_quite_keeps_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(spilling_queue, "BYTES_OF_A_FILE", 10_000)
    waiting = spilling(0, tmp_path)
    waiting.put(bytes(1000))
    waiting.put(bytes(1000))
    for _ in range(1000):
        waiting.put(bytes(1000))
        assert len(waiting.get_nowait()) == 1000
        assert 0 < waiting.bytes_on_disk < 30_000
    taken(waiting)
    assert waiting.bytes_on_disk == 0
    assert list(tmp_path.iterdir()) == []


class FullDisk(io.FileIO):
    """A file that takes half of what it is given, and after some writes nothing more."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, "w+")
        self.room = 15

    def write(self, data: Any) -> int:
        if not self.room:
            raise OSError(errno.ENOSPC, "No space left on device")
        self.room -= 1
        return super().write(memoryview(data)[: max(1, len(data) // 2)])


def test_where_the_disk_takes_no_more_nothing_is_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(tempfile, "TemporaryFile", lambda **_: FullDisk(tmp_path / "full"))
    waiting = spilling(0)
    sent = [bytes([number]) * 3 for number in range(9)]
    for item in sent:
        waiting.put(item)
    assert waiting.qsize() == 9
    assert waiting.bytes_on_disk > 0
    assert taken(waiting) == sent


def test_where_no_file_can_be_made_nothing_is_lost(tmp_path: Path):
    waiting = spilling(0, tmp_path / "nowhere")
    for number in range(9):
        waiting.put(bytes([number]))
    assert taken(waiting) == [bytes([number]) for number in range(9)]


def test_two_threads_put_and_take_as_they_like(tmp_path: Path):
    waiting, found = spilling(500, tmp_path), []
    sent = [random.Random(number).randbytes(number % 97) for number in range(3000)]

    def take() -> None:
        found.extend(waiting.get() for _ in sent)

    taker = threading.Thread(target=take)
    taker.start()
    for item in sent:
        waiting.put(item)
    taker.join(60)
    assert found == sent
