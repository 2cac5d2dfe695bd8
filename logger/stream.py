"""What a source yields, whichever source it is: bytes, events and set-ups, each with its host time.

A serial port, a recording and the virtual bench are one shape; nothing downstream can tell which.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from analysis.capture.events import Event


class HostTime(NamedTuple):
    """When the host saw something."""

    wall_ns: int
    """Host wall clock, nanoseconds since 1970 (may jump)."""
    monotonic_ns: int
    """Host monotonic clock, nanoseconds from an arbitrary zero (never goes back)."""


@dataclass(frozen=True, slots=True)
class LinkBytes:
    """Bytes exactly as read from one link, before anything decoded them."""

    host: HostTime
    data: bytes
    link: int = 0


@dataclass(frozen=True, slots=True)
class RecordedEvent:
    """Something a person or the program noted."""

    host: HostTime
    event: Event


@dataclass(frozen=True, slots=True)
class SetupChange:
    """A whole new set-up, text to text, replacing the one before from here on."""

    host: HostTime
    setup: Mapping[str, str]


Item = LinkBytes | RecordedEvent | SetupChange


class Source(Protocol):
    """Where items come from. ``read`` waits at most ``timeout_s``; an empty list means nothing came."""

    name: str
    """What a person would call it: the path, or ``practice:wind-pump/as-found``."""

    @property
    def at_end(self) -> bool:
        """True when nothing more will ever come (a recording read to its end; never a port)."""

    def now(self) -> HostTime:
        """The clock of this source: the host's for a port, the simulated one for the bench in process."""

    def read(self, timeout_s: float) -> list[Item]:
        """Return what has come; raises LinkError when the link is gone for good."""

    def write(self, data: bytes) -> None:
        """Send bytes to the board; a source that cannot be talked to ignores them."""

    def close(self) -> None:
        """Release what is held; harmless twice."""
