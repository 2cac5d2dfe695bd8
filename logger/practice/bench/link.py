"""The line between board and PC: so many bytes a second, a short queue, bytes lost, a plug pulled.

Counts nothing itself: what finds no room is told to the board, which owns up to it.
"""

from collections import deque
from dataclasses import dataclass
from random import Random

QUEUE_BYTES = 256
"""Samples wait in at most so many bytes."""
RESERVE_BYTES = 256
"""Room kept free beyond that for frames that are rare: hello, index, heartbeat, answers."""
BITS_PER_BYTE = 10
"""8N1: start bit, eight data bits, stop bit."""


@dataclass(frozen=True)
class LinkKind:
    """A line and what is wrong with it."""

    baud: int = 500_000
    bite_one_in: int = 0
    """One frame in so many loses bytes on the way; 0 = none."""
    unplug_at: float | None = None
    """When the plug is pulled, turns done."""
    unplug_us: int = 3_000_000
    """How long it stays out."""


class Link:
    """The line at work; times in simulated microseconds, asked in growing time."""

    def __init__(self, kind: LinkKind, seed: str) -> None:
        self._kind = kind
        self._random = Random(f"{seed}:link")
        self._byte_ns = BITS_PER_BYTE * 1_000_000_000 // kind.baud
        self._free_ns = 0
        self._queue: deque[tuple[int, bytes]] = deque()
        self._sent = 0
        self.bites = False
        """True once bytes may get lost (from the beginning of turning)."""
        self.unplugged_us: tuple[int, int] = (0, 0)
        """From when to when the plug is out."""
        self.unread_bytes = 0
        """Bytes that arrived and that nobody has taken: they wait like those still on their way."""

    def plugged(self, t_us: int) -> bool:
        """Return whether the plug is in."""
        return not self.unplugged_us[0] <= t_us < self.unplugged_us[1]

    def carry(self, data: bytes, t_us: int, *, rare: bool = False) -> bool:
        """Take a whole frame to send; False if there is no room for it."""
        now_ns = t_us * 1000
        waiting = self.unread_bytes + max(0, self._free_ns - now_ns) // self._byte_ns
        if waiting + len(data) > QUEUE_BYTES + (RESERVE_BYTES if rare else 0):
            return False
        start_ns = max(self._free_ns, now_ns)
        self._free_ns = start_ns + len(data) * self._byte_ns
        if self.plugged(t_us):
            self._queue.append((start_ns, self._bitten(data) if self.bites else data))
        return True

    def deliver(self, t_us: int) -> bytes:
        """Return the bytes that have wholly arrived by this time and were not handed out before."""
        now_ns = t_us * 1000
        out = bytearray()
        while self._queue:
            start_ns, data = self._queue[0]
            here = min(len(data), max(0, now_ns - start_ns) // self._byte_ns)
            out += data[self._sent : here]
            if here < len(data):
                self._sent = max(self._sent, here)
                break
            self._queue.popleft()
            self._sent = 0
        return bytes(out)

    def forget(self) -> None:
        """Lose what is still waiting: the board restarted."""
        self._queue.clear()
        self._sent = 0
        self._free_ns = 0

    def _bitten(self, data: bytes) -> bytes:
        if not self._kind.bite_one_in or self._random.randrange(self._kind.bite_one_in):
            return data
        size = self._random.randint(1, 6)
        at = self._random.randrange(max(1, len(data) - size))
        return data[:at] + data[at + size :]
