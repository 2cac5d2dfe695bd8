"""Check a recording without analysing it: what is in it, what is damaged, what the link lost.

Knows the frames of the wire and the lines of text mode; nothing of angles or readings.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Gap
from analysis.capture.events import GapCause, LinkLost, LinkReopened
from logger.recording.layout import LINES
from logger.recording.reader import RecordingReader, in_blocks, sha256_of
from logger.stream import Item, LinkBytes, RecordedEvent
from logger.wire.bulk import BulkDecoder, Decoded
from logger.wire.counters import lost_between_array, unwrap32_array
from logger.wire.messages import STALLED_S, Button, Heartbeat, Hello, Index
from logger.wire.text_frames import parse_line

_BLOCK = 1 << 20
_LINE_LIMIT = 4096

Longs = NDArray[np.int64]


@dataclass(frozen=True)
class FileCheck:
    """What a recording holds."""

    frames: int
    """Frames that passed their check, and lines that could be read, over all links."""
    bad: int
    """Frames and lines that did not pass."""
    lost: int
    """Frames known to be lost by the numbers of those around them."""
    gaps: tuple[Gap, ...]
    """Where frames are missing, link by link; seconds of the device's clock from its first frame. After a
    restart of the board, whose clock begins anew, time goes on from where it stood."""
    closed: bool
    """Whether the closing records are there."""
    bytes: int
    """Length of the file."""
    messages: int
    """Messages that could be read: blocks of link bytes, and events."""
    skipped_bytes: int
    """Bytes of the file that belong to nothing that could be read."""
    sha256: str
    """64 hex digits, of the whole file as it is."""


def check_file(path: str | Path) -> FileCheck:
    """Read a recording once through and count. Raises RecordingError when nothing in it can be read."""
    reader = RecordingReader(path)
    links = _check_items(in_blocks(_with_stalls(reader.items()), most=_BLOCK), reader)
    return FileCheck(
        frames=sum(link.frames for link in links),
        bad=sum(link.bad for link in links),
        lost=sum(gap.lost for link in links for gap in link.gaps),
        gaps=tuple(gap for link in links for gap in link.gaps),
        closed=reader.closed,
        bytes=reader.bytes,
        messages=reader.messages,
        skipped_bytes=reader.skipped_bytes,
        sha256=sha256_of(path),
    )


def _with_stalls(items: Iterable[Item]) -> Iterator[Item]:
    """Yield the items and, wherever a link fell silent, an event that says so."""
    heard_ns: dict[int, int] = {}
    for item in items:
        if isinstance(item, LinkBytes):
            now_ns = item.host.monotonic_ns
            if now_ns - heard_ns.get(item.link, now_ns) > STALLED_S * 1e9:
                yield RecordedEvent(item.host, LinkLost(GapCause.STALLED, item.link))
            heard_ns[item.link] = now_ns
        elif isinstance(item, RecordedEvent) and isinstance(item.event, LinkLost | LinkReopened):
            heard_ns.clear()
        yield item


def _check_items(items: Iterable[Item], reader: RecordingReader) -> "list[_Frames | _Lines]":
    links: dict[int, _Frames | _Lines] = {}
    for item in items:
        if isinstance(item, LinkBytes):
            if item.link not in links:
                links[item.link] = _Lines() if reader.encodings.get(item.link) == LINES else _Frames()
            links[item.link].feed(item.data)
        elif isinstance(item, RecordedEvent) and isinstance(item.event, LinkLost):
            link = links.get(item.event.link)
            if isinstance(link, _Frames):
                link.interrupted(item.event.why)
    return [links[number] for number in sorted(links)]


class _Lines:
    """Lines of one link: those that are text, and of text mode those whose check is right."""

    gaps: tuple[Gap, ...] = ()

    def __init__(self) -> None:
        self.frames = 0
        self.bad = 0
        self._rest = b""

    def feed(self, data: bytes) -> None:
        *lines, self._rest = (self._rest + data).replace(b"\r", b"\n").split(b"\n")
        for line in lines:
            if line.strip():
                good = _is_text(line)
                self.frames += good
                self.bad += not good
        self._rest = self._rest[: _LINE_LIMIT + 1]


def _is_text(line: bytes) -> bool:
    if len(line) > _LINE_LIMIT:
        return False
    try:
        text = line.decode()
    except UnicodeDecodeError:
        return False
    if text.startswith("S ") and "*" in text:
        return parse_line(text) is not None
    return text.replace("\t", " ").isprintable()


class _Frames:
    """Frames of one link: their numbers and times, in the order they came."""

    def __init__(self) -> None:
        self.gaps: list[Gap] = []
        self._decoder = BulkDecoder()
        self._seq: int | None = None
        self._boot: int | None = None
        self._time_us = 0
        """Newest device time, unwrapped, zero at the first frame."""
        self._raw_us: int | None = None
        """The same as sent; None before the first and after a restart."""
        self._why: GapCause | None = None

    @property
    def frames(self) -> int:
        return self._decoder.frames

    @property
    def bad(self) -> int:
        return self._decoder.bad

    def interrupted(self, why: GapCause) -> None:
        """Note that nothing came for a while, and why."""
        self._why = why if self.frames else None

    def feed(self, data: bytes) -> None:
        """Take the next block."""
        decoded = self._decoder.feed(data)
        edges = [0, *self._restarts(decoded), len(decoded.seqs)]
        raw_us = _times(decoded)
        for number, (start, end) in enumerate(pairwise(edges)):
            if number:
                self._seq = self._raw_us = None
            if end > start:
                self._between_restarts(decoded.seqs[start:end].astype(np.int64), raw_us[start:end])

    def _restarts(self, decoded: Decoded) -> Iterator[int]:
        """Yield the places of frames before which the board restarted: a hello with another boot_id."""
        for place, message in decoded.others:
            if isinstance(message, Hello):
                if self._boot is not None and message.boot_id != self._boot:
                    yield place
                self._boot = message.boot_id

    def _between_restarts(self, seqs: Longs, raw_us: Longs) -> None:
        """Take frames between two restarts; ``raw_us`` is -1 where a frame carries no time of its own."""
        time_us = self._unwrapped(raw_us)
        lost = lost_between_array(self._seq if self._seq is not None else int(seqs[0]) - 1, seqs)
        before = np.concatenate(([self._time_us], time_us[:-1]))
        if self._why is not None:
            self._add(before[0], time_us[0], lost[0], self._why)
            lost[0] = 0
            self._why = None
        for place in np.flatnonzero(lost):
            self._add(before[place], time_us[place], lost[place], GapCause.LOST)
        self._seq = int(seqs[-1])
        self._time_us = int(time_us[-1])

    def _add(self, start_us: np.int64, end_us: np.int64, lost: np.int64, why: GapCause) -> None:
        self.gaps.append(Gap(int(start_us) / 1e6, int(end_us) / 1e6, int(lost), why))

    def _unwrapped(self, raw_us: Longs) -> Longs:
        """Return device times that go on from those before; a frame without one takes the one before it."""
        has_time = np.flatnonzero(raw_us >= 0)
        times = np.full(len(raw_us), self._time_us, np.int64)
        if len(has_time):
            raw = raw_us[has_time]
            first = int(raw[0]) if self._raw_us is None else self._raw_us
            unwrapped = self._time_us + unwrap32_array(first, raw) - first
            latest = np.searchsorted(has_time, np.arange(len(raw_us)), side="right") - 1
            times = np.where(latest >= 0, unwrapped[np.maximum(latest, 0)], self._time_us)
            self._raw_us = int(raw[-1])
        return times


def _times(decoded: Decoded) -> Longs:
    """Return the device time of every frame as sent, -1 for those whose time is that of no sample."""
    times = np.full(len(decoded.seqs), -1, np.int64)
    times[decoded.samples["ordinal"]] = decoded.samples["t_us"]
    for place, message in decoded.others:
        if isinstance(message, Index | Button | Heartbeat):
            times[place] = message.t_us
    return times
