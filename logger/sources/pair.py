"""Two sources as one: a gauge on the first port, an encoder on the second, on the host's clock."""

from logger.stream import HostTime, Item, Source


class PairSource:
    """Reads both in turn; ends when either ends, for one without the other tells no angle."""

    def __init__(self, gauge: Source, angle: Source) -> None:
        self._gauge, self._angle = gauge, angle
        self.name = f"{gauge.name} and {angle.name}"

    @property
    def at_end(self) -> bool:
        """True when either is at its end."""
        return self._gauge.at_end or self._angle.at_end

    def now(self) -> HostTime:
        """Return the host's clock."""
        return self._gauge.now()

    def read(self, timeout_s: float) -> list[Item]:
        """Return what has come on both, each waited for half the time."""
        return self._gauge.read(timeout_s / 2) + self._angle.read(timeout_s / 2)

    def write(self, data: bytes) -> None:
        """Send to the gauge's port."""
        self._gauge.write(data)

    def close(self) -> None:
        """Release both, the second even where the first refuses."""
        try:
            self._gauge.close()
        finally:
            self._angle.close()
