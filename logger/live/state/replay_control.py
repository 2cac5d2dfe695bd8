"""Replay of a recording: pause, a little further, faster, slower, and the start of any turn."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from analysis.errors import BadInput
from logger.live.state.runtime import LiveRuntime
from logger.live.state.view import ReplayPosition
from logger.recording import RecordingReader
from logger.session import Session, TurnDetector
from logger.sources import ReplaySource

STEP_NS = 100_000_000
FASTEST, SLOWEST = 64.0, 1.0 / 16.0


@dataclass(frozen=True)
class RecordedTurns:
    """When the turns of a recording began and when it ended, on its monotonic clock."""

    starts_ns: tuple[int, ...] = ()
    end_ns: int = 0


class ReplayControl:
    """Steers a source that replays; ``open_at`` begins a new session that has come to a moment of it."""

    def __init__(
        self, source: ReplaySource, open_at: Callable[[int], tuple[LiveRuntime, ReplaySource]]
    ) -> None:
        self._source, self._open_at = source, open_at
        self._speed = source.speed
        self.first_ns = source.now().monotonic_ns
        self.recorded = RecordedTurns()
        """The turns of the recording; none while they are being looked up."""

    @property
    def turns(self) -> int:
        """How many turns can be jumped to."""
        return len(self.recorded.starts_ns)

    @property
    def paused(self) -> bool:
        """Tell whether it stands still."""
        return self._source.speed == 0.0

    def pause(self) -> None:
        """Stand still, or go on."""
        self._source.speed = self._speed if self.paused else 0.0

    def step(self) -> None:
        """Go a little further, and stand still."""
        self._source.speed = 0.0
        self._source.skip_to(self._source.now().monotonic_ns + STEP_NS)

    def faster(self) -> None:
        """Twice as fast."""
        self._set(self._speed * 2.0)

    def slower(self) -> None:
        """Half as fast."""
        self._set(self._speed / 2.0)

    def _set(self, speed: float) -> None:
        self._speed = min(max(speed, SLOWEST), FASTEST)
        if not self.paused:
            self._source.speed = self._speed

    def jump(self, turn: int) -> LiveRuntime:
        """Return a session that stands at the start of this turn, counted from 1. Raises BadInput."""
        if not self.turns:
            raise BadInput("the turns are still being looked up: try again in a moment")
        if not 1 <= turn <= self.turns:
            raise BadInput(f"turn {turn}: this recording has turns 1 to {self.turns}")
        paused = self.paused
        new, self._source = self._open_at(self.recorded.starts_ns[turn - 1])
        self._source.speed = 0.0 if paused else self._speed
        return new

    def position(self, heard_ns: int) -> ReplayPosition:
        """Return where it stands, where something was heard last at this time; 0: nothing yet."""
        found = self.recorded
        return ReplayPosition(
            self._speed,
            self.paused,
            self._since_begin_s(heard_ns or self.first_ns),
            tuple(self._since_begin_s(start) for start in found.starts_ns),
            self._since_begin_s(found.end_ns) if found.end_ns else 0.0,
        )

    def _since_begin_s(self, monotonic_ns: int) -> float:
        return (monotonic_ns - self.first_ns) * 1e-9


def turns_recorded(path: Path) -> RecordedTurns:
    """Return when each full turn of a recording began, and when it ended."""
    session, watch = Session(), TurnDetector()
    reader = RecordingReader(path)
    session.change_setup(reader.setup)
    starts: list[int] = []
    before: int | None = None
    end_ns = 0
    for item in reader.items():
        end_ns = max(end_ns, item.host.monotonic_ns)
        before = item.host.monotonic_ns if before is None else before
        session.take(item)
        for ended in watch.look(session, item.host):
            lasted_ns = round((ended.turn.end_s - ended.turn.start_s) * 1e9)
            starts.append(max(before, item.host.monotonic_ns - lasted_ns))
    return RecordedTurns(tuple(starts), end_ns)
