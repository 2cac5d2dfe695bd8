"""Sessions that are over while the window goes on: closed beside the painting."""

from collections.abc import Callable
from dataclasses import dataclass, field

from logger.live.state.runtime import LiveRuntime


@dataclass
class EndedSessions:
    """Closes sessions that have read their last, once each."""

    end: Callable[[LiveRuntime], None] = LiveRuntime.finish
    """Closes what a session recorded, and keeps it in the store."""
    not_stored: list[str] = field(default_factory=list)
    """What the store did not take of them, in words."""

    def __post_init__(self) -> None:
        self._waiting: list[LiveRuntime] = []

    def add(self, ended: LiveRuntime) -> None:
        """Have a session closed that has read its last."""
        if ended not in self._waiting:
            self._waiting.append(ended)

    @property
    def wait(self) -> bool:
        """Tell whether one has not been closed yet."""
        return bool(self._waiting)

    def close(self) -> None:
        """Close those that wait; beside the painting."""
        while self._waiting:
            old = self._waiting.pop(0)
            self.end(old)
            if old.not_stored:
                self.not_stored.append(old.not_stored)
