"""Where a board that went away may be opened again, and when to look; opens nothing itself.

The same board is told by its USB serial number wherever it is plugged in; without one by its by-id name,
else by the path as it was typed. A port behind which another board has come is left alone.
"""

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from logger.sources.known import PortInfo

SOCKET = "socket://"
BY_ID = Path("/dev/serial/by-id")


@dataclass(frozen=True, slots=True)
class ReopenPolicy:
    """How a port that went away is looked for."""

    every_s: float = 0.25
    """Time between two looks."""
    give_up_s: float = 30.0
    """Time after which it is gone for good; 0 = at once, infinity = never."""


def at_path(path: str, there: Sequence[PortInfo]) -> PortInfo:
    """Return what is listed of the port that this path leads to; of others, only the path."""
    real = os.path.realpath(path)
    listed = (port for port in there if os.path.realpath(port.path) == real)
    return replace(next(listed, PortInfo(path)), path=path)


class Search:
    """The search for one board. Parameters: ``info`` of the port as typed; ``policy``; ``by_id`` folder."""

    def __init__(self, info: PortInfo, policy: ReopenPolicy, by_id: Path = BY_ID) -> None:
        self._info = info
        self._policy = policy
        self._real = os.path.realpath(info.path)
        self._by_id = _name_in(by_id, self._real)
        self._lost_ns = self._next_ns = 0

    def begin(self, now_ns: int) -> None:
        """The board went away just now."""
        self._lost_ns = self._next_ns = now_ns

    def given_up(self, now_ns: int) -> bool:
        """Say whether it has been away for too long."""
        return now_ns - self._lost_ns >= self._policy.give_up_s * 1e9

    def is_due(self, now_ns: int) -> bool:
        """Say whether it is time to look, and count the time to the next look from here."""
        if now_ns < self._next_ns:
            return False
        self._next_ns = now_ns + round(self._policy.every_s * 1e9)
        return True

    def find(self, there: Sequence[PortInfo]) -> str | None:
        """Return the path of the same board among the ports listed now; None while it is not there."""
        info = self._info
        if info.path.startswith(SOCKET):
            return info.path
        if info.serial:
            same = [port.path for port in there if port.same_board(info)]
            # An adapter with several ports has one serial number: stay with the one that was typed.
            return self._real if self._real in same else same[0] if same else None
        for path in (self._by_id, info.path):
            if path and os.path.exists(path):
                return path if replace(at_path(path, there), path=info.path).same_board(info) else None
        return None

    def moved(self, path: str) -> bool:
        """Say whether this path leads elsewhere than before, and remember where it leads."""
        before, self._real = self._real, os.path.realpath(path)
        return before != self._real


def _name_in(by_id: Path, real: str) -> str | None:
    """Return the by-id name of a port, which stays the same in whatever socket the board is plugged."""
    try:
        return next((str(link) for link in sorted(by_id.iterdir()) if os.path.realpath(link) == real), None)
    except OSError:
        return None
