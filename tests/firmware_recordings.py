"""The emulated board recorded by the command, with what it sent and what was really there."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from firmware_bench import (
    Latches,
    PluggedBoard,
    plugged,
)
from running import Ran, fullturn

from logger.practice.stories.catalogue import scenario
from logger.recording import RecordingReader
from logger.stream import LinkBytes

# Where seconds of the wall end a recording, the emulator runs free and has done its part long before.
LIMIT = ("--limit", "0.05 mm")
TRUTH = {
    name: value for name, value in scenario("wind-pump/as-found").truth().items() if isinstance(value, float)
}
ASK_PROBE = ("--channel", "1", "--rate", "1000")
TURNING = ("--move=0,0.3", "--move=1.02,2.6,0.3", "--move=1.1,2.4,0.3", "--move=0,30")
"""Two turns by a quick hand, then stillness for as long as anybody may listen."""
SURE = 3.0
"""Half-widths of its 95 % interval by which a value that chance rules may be off: once in 10**8."""
COUNT_TOLERANCE_DEG = 0.15  # a count, where the mark is


@dataclass(frozen=True)
class Recorded:
    """One recording from the emulated board."""

    ran: Ran
    file: Path
    board: dict[str, float]
    """What the emulator counted."""
    truth: tuple[Latches, Latches]
    sent: bytes

    @property
    def result(self) -> dict[str, Any]:
        """The printed object."""
        return self.ran.result

    @property
    def items(self) -> list[Any]:
        """Everything in the recording."""
        return list(RecordingReader(self.file).items())

    @property
    def data(self) -> bytes:
        """All bytes of the recording."""
        return b"".join(item.data for item in self.items if isinstance(item, LinkBytes))

    def check(self, name: str) -> dict[str, Any]:
        """Return one check of the printed object."""
        return next(check for check in self.result["checks"] if check["name"] == name)


def record(folder: Path, board: PluggedBoard, arguments: Sequence[str]) -> Recorded:
    """Record from a plugged board with the command, then unplug it."""
    file = folder / "recording.mcap"
    ran = fullturn(folder, "record", board.port, "--out", file, "--json", *LIMIT, *arguments)
    return Recorded(ran, file, board.unplug(), board.truth(), board.sent())


def recorded(folder: Path, bench: Sequence[str], *arguments: str, baud: int = 500_000) -> Recorded:
    """Record from a board emulated this way."""
    with plugged(folder, *bench, baud=baud) as board:
        return record(folder, board, arguments)


def interval(result: dict[str, Any], value: str, interval_key: str, sure: float) -> tuple[float, float]:
    """Return a value and the half-width of its 95 % interval so many times."""
    low, high = result["pooled"][interval_key]
    return result["pooled"][value], sure * (high - low) / 2.0
