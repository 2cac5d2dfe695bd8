"""A source that stays open when a recording of it ends: the next goes on with the same board and count."""

from logger.stream import HostTime, Item, Source


class KeptOpen:
    """Passes everything on to its source but the closing, which ``let_go`` does."""

    def __init__(self, source: Source) -> None:
        self.source = source
        """The one that is kept open."""
        self.name = source.name

    @property
    def at_end(self) -> bool:
        """As the source."""
        return self.source.at_end

    def now(self) -> HostTime:
        """As the source."""
        return self.source.now()

    def read(self, timeout_s: float) -> list[Item]:
        """As the source."""
        return self.source.read(timeout_s)

    def write(self, data: bytes) -> None:
        """As the source."""
        self.source.write(data)

    def close(self) -> None:
        """Leave it open."""

    def let_go(self) -> None:
        """Close the source."""
        self.source.close()
