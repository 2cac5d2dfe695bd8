"""Decodes what was read in a thread of its own, and is never waited for so long that reading suffers.

Items go in, what came of each comes out in order. In step as long as decoding keeps up; where it does not,
what waits is bounded by bytes, and beyond that nothing more is taken. Knows nothing of sources or files.
"""

import queue
import threading
import time
from collections import deque
from collections.abc import Callable
from typing import Generic, TypeVar

from logger.stream import Item, LinkBytes

IN_STEP_S = 0.2
"""So long one item is waited for: what comes of it then stands right after it in the recording."""
END_S = 5.0
"""So long what still waits is waited for at the end."""
MOST_WAITING_BYTES = 8 << 20
"""More bytes than this never wait to be decoded: minutes of any board."""
MOST_WAITING = 50_000
"""Nor do more items."""

_Outcome = TypeVar("_Outcome")


class DecodingThread(Generic[_Outcome]):
    """Hands items to ``decode``, in a thread of its own or, not ``threaded``, at once.

    Only the thread that made it calls its methods.
    """

    def __init__(self, decode: Callable[[Item], _Outcome], *, threaded: bool) -> None:
        self._decode, self._threaded = decode, threaded
        self._items: queue.SimpleQueue[Item | None] = queue.SimpleQueue()
        self._done: queue.SimpleQueue[_Outcome] = queue.SimpleQueue()
        self._waiting: deque[tuple[int, int]] = deque()
        """When each was given that has not come back, and its bytes."""
        self._waiting_bytes = 0
        self._late = False
        self.given_up = False
        """Whether nothing more is decoded."""
        if threaded:
            threading.Thread(target=self._run, name="fullturn-decoding", daemon=True).start()

    def give(self, item: Item) -> bool:
        """Have an item decoded; False where too much waits already, or nothing is decoded any more."""
        size = len(item.data) if isinstance(item, LinkBytes) else 0
        full = self._waiting_bytes + size > MOST_WAITING_BYTES or len(self._waiting) >= MOST_WAITING
        if self.given_up or full:
            return False
        self._waiting.append((item.host.monotonic_ns, size))
        self._waiting_bytes += size
        if self._threaded:
            self._items.put(item)
        else:
            self._done.put(self._decode(item))
        return True

    def outcomes(self) -> list[_Outcome]:
        """Return what has been decoded; waits a little where decoding kept up until now."""
        found = self._ready(0.0 if self._late else IN_STEP_S)
        self._late = bool(self._waiting)
        return found

    def finish(self) -> list[_Outcome]:
        """Return what is decoded of what still waits within 5 s; then nothing more is."""
        found = self._ready(END_S)
        self.give_up()
        return found

    def give_up(self) -> None:
        """Decode no more; harmless twice. What is being decoded now comes to nothing."""
        self.given_up = True
        self._items.put(None)

    @property
    def waits(self) -> bool:
        """Whether anything that was given has not come back."""
        return bool(self._waiting)

    def behind_ns(self, now_ns: int) -> int:
        """Return for how long the oldest item has waited."""
        return now_ns - self._waiting[0][0] if self._waiting else 0

    def _ready(self, wait_s: float) -> list[_Outcome]:
        found: list[_Outcome] = []
        until_s = time.monotonic() + wait_s
        while self._waiting:
            try:
                left_s = until_s - time.monotonic()
                found.append(self._done.get(timeout=left_s) if left_s > 0 else self._done.get_nowait())
            except queue.Empty:
                break
            self._waiting_bytes -= self._waiting.popleft()[1]
        return found

    def _run(self) -> None:
        while (item := self._items.get()) is not None and not self.given_up:
            outcome = self._decode(item)
            if self.given_up:
                return
            self._done.put(outcome)
