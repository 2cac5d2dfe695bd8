"""When a recording ends by itself, and whether it then has what was asked for."""

from dataclasses import dataclass

from logger.stream import HostTime
from logger.wire.messages import STALLED_S


@dataclass(frozen=True, slots=True)
class Until:
    """When a recording ends by itself; both None = when it is stopped."""

    turns: int | None = None
    seconds: float | None = None


class RecordingEnd:
    """What is asked of one recording, and what has come of it so far."""

    def __init__(self, until: Until) -> None:
        self._until = until
        self.began: HostTime | None = None
        """When the first reading came."""
        self.streams: HostTime | None = None
        """When the board was brought to streaming, or the first byte came of what is only listened to."""
        self.unplugged = False
        """Whether a link is gone and has not come back."""

    def is_reached(self, turns: int, now: HostTime) -> bool:
        """Tell whether all that was asked for has come; ``turns`` have ended."""
        if self._has_turns(turns):
            return True
        since = self.began or self.streams
        if self._until.seconds is None or since is None:
            return False
        return now.monotonic_ns - since.monotonic_ns >= self._until.seconds * 1e9

    def is_short(self, turns: int, now: HostTime, heard: HostTime | None) -> bool:
        """Tell whether a recording that nobody stopped ended without what was asked for.

        A link silent at its end (``heard`` last) gave no more. Turns that came are enough, however it was.
        """
        if self._until == Until():
            return False
        if not self.is_reached(turns, now):
            return True
        if self._has_turns(turns):
            return False
        return self.unplugged or now.monotonic_ns - (heard or now).monotonic_ns > STALLED_S * 1e9

    def _has_turns(self, turns: int) -> bool:
        return self._until.turns is not None and turns >= self._until.turns
