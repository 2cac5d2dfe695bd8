"""A queue between two threads whose memory is bounded and that loses nothing: what is too much lies on disk.

The files have no name and never outlive the program; each is let go when what is in it has been taken.
"""

import pickle
import queue
import tempfile
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import IO, Generic, TypeVar

_Item = TypeVar("_Item")
BYTES_OF_A_FILE = 64 << 20
"""A file that has so much takes no more: one that is still read from cannot be made shorter."""


class SpillingQueue(queue.Queue[_Item]):
    """As ``queue.Queue``; once ``most_bytes`` wait, further items are pickled to files until all are taken.

    Order is kept. Whoever puts never waits for whoever takes. Where the disk takes nothing more the items
    stay in memory: losing one would be worse.
    """

    def __init__(self, most_bytes: int, size_of: Callable[[_Item], int], folder: Path | None = None) -> None:
        """``size_of``: how many bytes an item holds; ``folder``: where files lie, else the system's own."""
        self._most_bytes, self._size_of, self._folder = most_bytes, size_of, folder
        self._in_memory: deque[tuple[_Item, int]] = deque()
        self._files: deque[_SpillFile[_Item]] = deque()
        self._after: deque[_Item] = deque()
        """What came when the disk took nothing more."""
        self.bytes_in_memory = 0
        """What waits in memory, as ``size_of`` tells."""
        super().__init__()

    @property
    def bytes_on_disk(self) -> int:
        """What the files hold, also of what was taken from them."""
        return sum(file.size for file in list(self._files))

    # Called by queue.Queue, its lock held.

    def _qsize(self) -> int:
        return len(self._in_memory) + sum(len(file) for file in self._files) + len(self._after)

    def _put(self, item: _Item) -> None:
        size = self._size_of(item)
        room = not self._in_memory or self.bytes_in_memory + size <= self._most_bytes
        if room and not self._files and not self._after:
            self._in_memory.append((item, size))
            self.bytes_in_memory += size
        elif self._after or not self._spill(item):
            self._after.append(item)

    def _get(self) -> _Item:
        if self._in_memory:
            item, size = self._in_memory.popleft()
            self.bytes_in_memory -= size
            return item
        if not self._files:
            return self._after.popleft()
        found = self._files[0].get()
        if not len(self._files[0]):
            self._files.popleft().close()
        return found

    def _spill(self, item: _Item) -> bool:
        """Write an item to a file; False where that cannot be done."""
        try:
            file = self._files[-1] if self._files else None
            if file is not None and file.size < BYTES_OF_A_FILE:
                file.put(item)
                return True
            file = _SpillFile[_Item](_unnamed_file(self._folder))
        except OSError:
            return False
        try:
            file.put(item)
        except OSError:
            file.close()
            return False
        self._files.append(file)
        return True


def _unnamed_file(folder: Path | None) -> IO[bytes]:
    return tempfile.TemporaryFile(buffering=0, dir=folder)


class _SpillFile(Generic[_Item]):
    """One file of items, taken in the order put."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self._begins: deque[int] = deque()
        """Where each item that was not taken begins."""
        self.size = 0

    def __len__(self) -> int:
        return len(self._begins)

    def put(self, item: _Item) -> None:
        """Write an item; where that raises OSError the file is as before."""
        rest = memoryview(pickle.dumps(item, pickle.HIGHEST_PROTOCOL))
        self._file.seek(self.size)
        while rest:
            rest = rest[self._file.write(rest) :]
        self._begins.append(self.size)
        self.size = self._file.tell()

    def get(self) -> _Item:
        """Return the first item that was not taken yet."""
        self._file.seek(self._begins.popleft())
        found: _Item = pickle.load(self._file)
        return found

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()
