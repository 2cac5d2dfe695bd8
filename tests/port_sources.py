"""Ports of pseudo-terminals for tests of the source."""

from serial.tools.list_ports_common import ListPortInfo

from logger.sources.port import PortSource
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent

PATIENCE_S = 10.0
"""Longest time a read may wait for bytes that are on their way; it returns as soon as they are there."""


class Clock:
    """A clock that stands still until it is moved."""

    def __init__(self) -> None:
        self.s = 0.0

    def __call__(self) -> HostTime:
        return HostTime(round((1000 + self.s) * 1e9), round(self.s * 1e9))


def listed(path: str, *, serial: str | None = None, product: str = "Sweep board") -> ListPortInfo:
    info = ListPortInfo(path)
    info.vid, info.pid, info.serial_number = 0x1209, 0x0001, serial
    info.manufacturer, info.product = "Workshop", product
    return info


def read_bytes(source: PortSource, count: int) -> bytes:
    """Read until so many bytes have come, in however many pieces."""
    data = b""
    while len(data) < count:
        items = source.read(PATIENCE_S)
        assert items, "nothing came"
        data += b"".join(item.data for item in items if isinstance(item, LinkBytes))
    return data


def until_lost(source: PortSource) -> list[Item]:
    items: list[Item] = []
    while not any(isinstance(item, RecordedEvent) for item in items):
        items += source.read(PATIENCE_S)
    return items


def no_wait(_: float) -> None:
    pass
