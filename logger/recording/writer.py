"""Write a recording: every message reaches the operating system at once, and nothing is ever rewritten.

Knows nothing of what the bytes mean. Link bytes are gathered for at most 20 ms or 4 KiB a message, by the
times the items carry, so that the same items always make the same file.
"""

import errno
import json
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from types import TracebackType

from mcap.writer import CompressionType, Writer

from analysis.capture.event_words import encode
from analysis.errors import BadInput, RecordingError
from analysis.setup import setup_crc32
from logger.recording.layout import (
    CHECK,
    EVENTS,
    FORMAT,
    FRAMES,
    GATHER_NS,
    JSON,
    LIBRARY_CHECK,
    LINES,
    LINK_ENCODINGS,
    MESSAGE_LIMIT,
    PROFILE,
    RECORD_LIMIT,
    check_seed,
    link_topic,
    message_check,
)
from logger.stream import HostTime, LinkBytes, RecordedEvent, SetupChange

SYNC_NS = 1_000_000_000
"""Longest time, by the clock of the items, between two times the disk itself is waited for."""


class RecordingWriter:
    """One recording while it is being written.

    Parameters: ``path`` must not exist yet; ``setup`` text to text, as written; ``recording_id`` UUID4 as
    text; ``started`` ISO 8601 UTC; ``version`` of the program; ``clock`` the clock of the source, asked only
    by ``poll``; ``encodings`` of links that do not carry frames (link number to ``lines``); ``fsync`` waits
    for the disk, given a file descriptor. Raises RecordingError when the file exists, or cannot be made or
    written: disk full, read-only folder.
    """

    def __init__(
        self,
        path: str | Path,
        *,
        setup: Mapping[str, str],
        recording_id: str,
        started: str,
        version: str,
        clock: Callable[[], HostTime],
        encodings: Mapping[int, str] | None = None,
        fsync: Callable[[int], None] = os.fsync,
    ) -> None:
        self.path = Path(path)
        self._clock = clock
        self._encodings = dict(encodings or {})
        self._gathered = bytearray()
        self._first: LinkBytes | None = None
        self._last: LinkBytes | None = None
        self._channels: dict[str, tuple[int, int]] = {}
        self._file = _Disk(self.path, fsync)
        self._synced_ns: int | None = None
        self._writer = Writer(
            self._file,  # type: ignore[arg-type]
            compression=CompressionType.NONE,
            use_chunking=False,
            enable_data_crcs=True,
        )
        origin = {"recording_id": recording_id, "started": started, "fullturn": version}
        try:
            self._writer.start(PROFILE, f"{PROFILE} {version} {LIBRARY_CHECK}")
            self._metadata("origin", {**origin, "format": str(FORMAT)})
            self._metadata("setup", setup)
            # Channel numbers are part of the layout: events first, then link/0, then others as they come.
            self._channel(EVENTS, JSON)
            self._channel(link_topic(0), self._encodings.get(0, FRAMES))
        except (RecordingError, BadInput):
            self._file.close()
            raise

    def __enter__(self) -> "RecordingWriter":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        self.close()

    def link_bytes(self, item: LinkBytes) -> None:
        """Keep bytes as read; they are in the file at the latest 20 ms or 4 KiB later, or at ``flush``.

        A message carries the time at which its last byte had come, so that no byte is dated before it was
        seen. Lines are written block by block as they come: their time is the host's, and gathering would
        blur it.
        """
        if not item.data:
            return
        first = self._first
        if first is not None and (
            item.link != first.link
            or item.host.monotonic_ns - first.host.monotonic_ns > GATHER_NS
            or item.host.monotonic_ns < first.host.monotonic_ns
        ):
            self._write_gathered()
        gathered = 0
        while gathered < len(item.data):
            if self._first is None:
                self._first = item
            self._last = item
            room = MESSAGE_LIMIT - len(self._gathered)
            self._gathered += item.data[gathered : gathered + room]
            gathered += room
            if len(self._gathered) >= MESSAGE_LIMIT:
                self._write_gathered()
        if self._encodings.get(item.link, FRAMES) == LINES:
            self._write_gathered()

    def event(self, item: RecordedEvent) -> None:
        """Write an event, after all bytes that came before it. Raises BadInput when it is no plain JSON."""
        self._write_gathered()
        written = encode(item.event)
        try:
            text = json.dumps(written, allow_nan=False, separators=(",", ":"), ensure_ascii=False)
            data = text.encode()
        except (TypeError, ValueError) as error:
            raise BadInput(
                f"event {written!r} cannot be written ({error}): numbers, text, true and false only"
            ) from error
        if len(data) > RECORD_LIMIT // 2:
            raise BadInput(f"an event of {len(data)} bytes is longer than {RECORD_LIMIT // 2}: shorten it")
        self._message(EVENTS, JSON, item.host, data)

    def setup(self, item: SetupChange) -> None:
        """Write a whole new set-up, which replaces the one before from here on."""
        self._write_gathered()
        self._metadata("setup", item.setup)
        self._sync_if_due(item.host)

    def poll(self) -> None:
        """Write what was gathered for longer than 20 ms; call it whenever a read brought nothing."""
        now = self._clock()
        if self._first is not None and now.monotonic_ns - self._first.host.monotonic_ns >= GATHER_NS:
            self._write_gathered()
        self._sync_if_due(now)

    def flush(self) -> None:
        """Hand everything gathered so far to the operating system: it survives the end of this process."""
        self._write_gathered()

    def close(self) -> None:
        """Write the closing records and wait for the disk; harmless twice, and after a failed write.

        After a failed write nothing more is written: the file is left as one that was not closed.
        """
        if self._file.closed:
            return
        try:
            if not self._file.failed:
                self._write_gathered()
                self._writer.finish()  # type: ignore[no-untyped-call]
                self._file.sync()
        finally:
            self._file.close()

    def _write_gathered(self) -> None:
        last = self._last
        if last is None:
            return
        data = bytes(self._gathered)
        self._gathered.clear()
        self._first = self._last = None
        encoding = self._encodings.get(last.link, FRAMES)
        self._message(link_topic(last.link), encoding, last.host, data)

    def _message(self, topic: str, encoding: str, host: HostTime, data: bytes) -> None:
        channel, seed = self._channel(topic, encoding)
        check = message_check(seed, channel, host.wall_ns, host.monotonic_ns, data)
        self._writer.add_message(channel, host.wall_ns, data, host.monotonic_ns, check)
        self._sync_if_due(host)

    def _channel(self, topic: str, encoding: str) -> tuple[int, int]:
        known = self._channels.get(topic)
        if known is None:
            if topic != EVENTS and encoding not in LINK_ENCODINGS:
                raise BadInput(f"link encoding {encoding!r} is not one of {', '.join(LINK_ENCODINGS)}")
            channel = self._writer.register_channel(topic, encoding, 0, dict(CHECK))
            known = self._channels[topic] = (channel, check_seed(topic, encoding))
            # A channel not flushed before the closing records is left out of their checksum (mcap 1.6).
            self._writer.flush()  # type: ignore[no-untyped-call]
        return known

    def _metadata(self, name: str, text: Mapping[str, str]) -> None:
        kept = {key: value for key, value in text.items() if key != "crc32"}
        try:
            size = len("".join([*kept, *kept.values()]).encode())
        except UnicodeEncodeError as error:
            raise BadInput(f"{name} holds text that is no Unicode ({error.reason}): type it again") from error
        if size > RECORD_LIMIT // 2:
            raise BadInput(f"a {name} of {size} bytes is longer than {RECORD_LIMIT // 2}: shorten it")
        self._writer.add_metadata(name, {**kept, "crc32": setup_crc32(kept)})

    def _sync_if_due(self, now: HostTime) -> None:
        if self._synced_ns is None:
            self._synced_ns = now.monotonic_ns
        elif now.monotonic_ns - self._synced_ns >= SYNC_NS:
            self._synced_ns = now.monotonic_ns
            self._file.sync()


class _Disk:
    """An unbuffered file made new, whose every failure is told in one line."""

    def __init__(self, path: Path, fsync: Callable[[int], None]) -> None:
        self._path = path
        self._fsync = fsync
        self._written = 0
        self.failed = False
        try:
            self._raw = open(path, "xb", buffering=0)  # noqa: SIM115 - closed by close()
        except FileExistsError as error:
            raise RecordingError(
                f"{path} exists already: a recording is never written over; give another name"
            ) from error
        except FileNotFoundError as error:
            raise RecordingError(f"no folder {path.parent} for {path.name}: make it first") from error
        except ValueError as error:
            raise RecordingError(f"{str(path)!r} is no file name ({error}): give another") from error
        except OSError as error:
            raise RecordingError(
                f"{path} cannot be made ({_words(error)}): choose a folder that can be written"
            ) from error

    @property
    def closed(self) -> bool:
        return self._raw.closed

    def tell(self) -> int:
        return self._written

    def flush(self) -> None:
        """Nothing is held back here."""

    def write(self, data: bytes) -> int:
        if self._raw.closed:
            raise RecordingError(f"{self._path} is closed already: nothing can be added to a recording")
        if self.failed:
            raise self._lost("an earlier write failed")
        rest = memoryview(data)
        while rest:
            try:
                count = self._raw.write(rest) or 0
            except OSError as error:
                self.failed = True
                raise self._lost(_words(error)) from error
            self._written += count
            rest = rest[count:]
        return len(data)

    def sync(self) -> None:
        try:
            self._fsync(self._raw.fileno())
        except OSError as error:
            if error.errno in (errno.EINVAL, errno.ENOTSUP):  # a pipe or a device has no disk to wait for
                return
            self.failed = True
            raise self._lost(_words(error)) from error

    def close(self) -> None:
        try:
            self._raw.close()
        except OSError as error:
            raise self._lost(_words(error)) from error

    def _lost(self, why: str) -> RecordingError:
        return RecordingError(
            f"the recording cannot be written on ({why}): what was written stays readable in "
            f"{self._path} ({self._written} bytes); make room or choose another folder, and record again"
        )


def _words(error: OSError) -> str:
    if error.errno == errno.ENOSPC:
        return "no room left on the disk"
    if error.errno == errno.EROFS:
        return "the disk is read-only"
    if error.errno in (errno.EACCES, errno.EPERM):
        return "no permission to write there"
    return error.strerror or str(error)
