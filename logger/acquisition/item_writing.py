"""Writes every item that comes into the recording before anything decodes it, and counts the link's bytes."""

from typing import assert_never

from logger.recording import RecordingWriter
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent, SetupChange


class ItemWriting:
    """The way of items into one recording; without a writer they are only counted."""

    def __init__(self, writer: RecordingWriter | None) -> None:
        self._writer = writer
        self.link_bytes = 0
        """Bytes that have come from the board."""
        self.heard: HostTime | None = None
        """When the newest of them came."""

    @property
    def recorded(self) -> bool:
        """Tell whether what comes is kept."""
        return self._writer is not None

    def take(self, item: Item) -> None:
        """Write one item; raises RecordingError where the file takes no more."""
        match item:
            case LinkBytes():
                self.heard = item.host
                self.link_bytes += len(item.data)
                if self._writer is not None:
                    self._writer.link_bytes(item)
            case RecordedEvent():
                if self._writer is not None:
                    self._writer.event(item)
            case SetupChange():
                if self._writer is not None:
                    self._writer.setup(item)
            case _:
                assert_never(item)

    def poll(self) -> None:
        """Have what was written reach the disk in time; often."""
        if self._writer is not None:
            self._writer.poll()
