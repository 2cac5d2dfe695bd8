"""Turn the bytes of a recording into items, in any pieces, damaged or not: no file, no clock.

What is damaged is stepped over to the next record that proves itself, and its bytes are counted; what
cannot prove itself never becomes an item. The container's own stream reader parses every kind of record
but messages: those are nearly all of a recording and have one fixed head, which is read here directly
(and a test holds both to the same answer).
"""

import json
import re
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO

from mcap.exceptions import McapError
from mcap.opcode import Opcode
from mcap.records import Channel, Header, McapRecord, Metadata, MetadataIndex, Statistics
from mcap.stream_reader import StreamReader

from analysis.setup import setup_crc32
from logger.items import Event, HostTime, Item, LinkBytes, SetupChange
from logger.recording.layout import (
    CHECK,
    EVENTS,
    JSON,
    LIBRARY_CHECK,
    LINK_ENCODINGS,
    MESSAGE_HEAD,
    PROFILE,
    RECORD_LIMIT,
    Origin,
    check_seed,
    link_of,
    message_check,
    parse_origin,
    usual_topic,
)

MAGIC = b"\x89MCAP0\r\n"
_RECORD_HEAD = struct.Struct("<BQ")
_HEAD = _RECORD_HEAD.size
_MESSAGE = int(Opcode.MESSAGE)
_EXACT = {int(Opcode.FOOTER): 20, int(Opcode.DATA_END): 4, int(Opcode.SUMMARY_OFFSET): 17}
"""Records of a fixed length, which are stepped over."""
_PARSED = tuple(
    map(
        int,
        (Opcode.HEADER, Opcode.CHANNEL, Opcode.METADATA, Opcode.METADATA_INDEX, Opcode.STATISTICS),
    )
)
_KNOWN = frozenset((_MESSAGE, *_EXACT, *_PARSED))
_NEXT_HEAD = re.compile(
    b"[" + re.escape(bytes(sorted(_KNOWN))) + rb"][\x00-\xff]{2}[\x00-\x10]\x00{5}", re.DOTALL
)
"""A place where a record may begin: a known opcode and a length below the limit."""
_FAULTS = (McapError, struct.error, ValueError, EOFError, RecursionError)
"""What the readers of container and JSON raise at damaged bytes (UnicodeDecodeError is a ValueError)."""


@dataclass(frozen=True, slots=True)
class _Topic:
    """What a channel number stands for."""

    name: str
    encoding: str
    checked: bool
    """Whether its messages carry their check."""
    seed: int
    """Where the check of its messages starts."""
    link: int | None
    """Number of the link; None for events."""


class RecordingDecoder:
    """Bytes of one recording in, items out, with the counts of what was found.

    The set-up before the first message is kept as ``setup`` and is no item; each later one is a
    SetupChange, dated by the message before it, for the container gives set-ups no time of their own.
    """

    def __init__(self) -> None:
        self.ours = False
        """True once the profile or an origin of this program was seen."""
        self.profile: str | None = None
        """Profile as the header states it; None while no header was seen."""
        self.checked = False
        """True once anything said that messages carry their check: from then on none passes without."""
        self.origin = Origin()
        self.setup: dict[str, str] = {}
        self.encodings: dict[int, str] = {}
        """Encoding of each link that was seen."""
        self.closed = False
        """True when the closing records were seen, and nothing after them."""
        self.bytes = 0
        self.skipped_bytes = 0
        """Bytes that belong to no record that proved itself."""
        self.messages = 0
        self._rest = b""
        self._magic_due = True
        self._footer = False
        self._final = False
        self._proven = False
        """Whether the first set-up carried its checksum."""
        self._topics: dict[int, _Topic] = {}
        self._last = HostTime(0, 0)

    def feed(self, data: bytes) -> list[Item]:
        """Return the items that these bytes complete."""
        self.bytes += len(data)
        self._rest = self._rest + data if self._rest else data
        return self._drain()

    def finish(self) -> list[Item]:
        """Return what can still be had from the rest, now that nothing more will come."""
        self._final = True
        return self._drain()

    def _drain(self) -> list[Item]:
        final = self._final
        buffer = self._rest
        size = len(buffer)
        items: list[Item] = []
        position = 0
        while position < size:
            if self._magic_due:
                have = buffer[position : position + len(MAGIC)]
                if have != MAGIC and MAGIC.startswith(have) and not final:
                    break
                self._magic_due = False
                if have == MAGIC:
                    position += len(MAGIC)
                    self.closed = self._footer
                    continue
            end = -1
            if position + _HEAD <= size:
                opcode, length = _RECORD_HEAD.unpack_from(buffer, position)
                if length <= RECORD_LIMIT and opcode in _KNOWN:
                    end = position + _HEAD + length
            elif not final:
                break
            if end > size and not final:
                break
            if 0 < end <= size and self._record(opcode, buffer, position, end, items):
                self.closed = False
                position = end
                continue
            if end > 0 and not final and not self.checked and end + _HEAD > size:
                break  # without checks a record is believed by the one after it, which has yet to come
            found = _NEXT_HEAD.search(buffer, position + 1)
            # A head may lie across the end of what has come so far.
            stop = found.start() if found else size if final else max(position + 1, size - _HEAD + 1)
            self.closed = False
            self.skipped_bytes += stop - position
            position = stop
        self._rest = buffer[position:]
        return items

    def _record(self, opcode: int, buffer: bytes, start: int, end: int, items: list[Item]) -> bool:
        """Take one whole record if it proves itself; False leaves everything as it was."""
        if opcode == _MESSAGE:
            return self._message(buffer, start + _HEAD, end, items)
        if opcode in _EXACT:
            if end - start - _HEAD != _EXACT[opcode]:
                return False
            self._footer = self._magic_due = opcode == Opcode.FOOTER
            return True
        try:
            record = next(StreamReader(BytesIO(buffer[start:end]), skip_magic=True).records, None)
        except _FAULTS:
            return False
        return record is not None and self._other(record, end - start - _HEAD, items)

    def _message(self, buffer: bytes, start: int, end: int, items: list[Item]) -> bool:
        if end - start < MESSAGE_HEAD.size:
            return False
        channel, check, log_time, publish_time = MESSAGE_HEAD.unpack_from(buffer, start)
        data = buffer[start + MESSAGE_HEAD.size : end]
        topic = self._topics.get(channel)
        if topic is not None and message_check(topic.seed, channel, log_time, publish_time, data) == check:
            if not self.checked:
                self._ask_for_checks()
        elif topic is None or topic.checked or self.checked:
            topic = self._usual(channel, check, log_time, publish_time, data)
        elif not self.ours or not _plausible(buffer, end, self._final):
            topic = None  # nothing vouches for it: neither a check nor the head of the file
        if topic is None:
            return False
        host = HostTime(log_time, publish_time)
        if topic.link is not None:
            items.append(LinkBytes(host, data, topic.link))
        else:
            try:
                fields = json.loads(data)
            except _FAULTS:
                return False
            if not isinstance(fields, dict) or not isinstance(fields.get("event"), str):
                return False
            items.append(Event(host, fields))
        self.messages += 1
        self._last = host
        return True

    def _usual(
        self, channel: int, check: int, log_time: int, publish_time: int, data: bytes
    ) -> _Topic | None:
        """Find the topic by the layout's own numbering, for a message whose channel record is damaged."""
        name = usual_topic(channel)
        if name is None:
            return None
        for encoding in (JSON,) if name == EVENTS else LINK_ENCODINGS:
            seed = check_seed(name, encoding)
            if message_check(seed, channel, log_time, publish_time, data) == check:
                self._ask_for_checks()
                return self._announce(channel, name, encoding, checked=True)
        return None

    def _announce(self, channel: int, name: str, encoding: str, *, checked: bool) -> _Topic:
        topic = _Topic(name, encoding, checked, check_seed(name, encoding), link_of(name))
        self._topics[channel] = topic
        if topic.link is not None:
            self.encodings[topic.link] = encoding
        return topic

    def _other(self, record: McapRecord, length: int, items: list[Item]) -> bool:
        if isinstance(record, Header):
            return self._header(record, length)
        if isinstance(record, Channel):
            return self._channel(record, length)
        if isinstance(record, Metadata):
            return self._metadata(record, length, items)
        if isinstance(record, MetadataIndex):
            return record.name in ("origin", "setup")
        if isinstance(record, Statistics):
            return length == 46 + 10 * len(record.channel_message_counts)
        return False

    def _header(self, record: Header, length: int) -> bool:
        if self.profile is not None or length != 8 + len(record.profile.encode()) + len(
            record.library.encode()
        ):
            return False
        self.profile = record.profile
        self.ours = self.ours or record.profile == PROFILE
        if record.library.endswith(LIBRARY_CHECK):
            self._ask_for_checks()
        return True

    def _channel(self, record: Channel, length: int) -> bool:
        whole = 8 + len(record.message_encoding.encode()) + _text_size(record.topic, record.metadata)
        link = link_of(record.topic)
        fits = record.message_encoding in (LINK_ENCODINGS if link is not None else (JSON,))
        if length != whole or not fits or (link is None and record.topic != EVENTS):
            return False
        checked = record.metadata == CHECK
        known = self._topics.get(record.id)
        if known is None:
            self._announce(record.id, record.topic, record.message_encoding, checked=checked)
        elif (known.name, known.encoding) != (record.topic, record.message_encoding):
            return (
                False  # the container forbids a channel to change: this record is damaged, or the first was
            )
        if checked:
            self._ask_for_checks()
        return True

    def _metadata(self, record: Metadata, length: int, items: list[Item]) -> bool:
        if record.name not in ("origin", "setup"):
            return False
        if length != _text_size(record.name, record.metadata):
            return False
        text = {key: value for key, value in record.metadata.items() if key != "crc32"}
        check = record.metadata.get("crc32")
        proven = check == setup_crc32(text)
        if not proven and (check is not None or self.checked):
            return False
        if record.name == "origin":
            self._take_origin(text)
            if proven:
                self._ask_for_checks()  # only a writer that checks everything puts one there
        elif self.messages:
            items.append(SetupChange(self._last, text))
        else:
            self.setup = text
            self._proven = proven
        return True

    def _ask_for_checks(self) -> None:
        """From now on nothing passes without its check, nor does a set-up that was taken without."""
        self.checked = True
        if not self._proven:
            self.setup = {}

    def _take_origin(self, text: Mapping[str, str]) -> None:
        if "recording_id" in text and "fullturn" in text:
            self.ours = True
            self.origin = parse_origin(text)


def _text_size(name: str, text: Mapping[str, str]) -> int:
    """Return how many bytes a name and a text-to-text map take in a record."""
    pairs = sum(8 + len(key.encode()) + len(value.encode()) for key, value in text.items())
    return 8 + len(name.encode()) + pairs


def _plausible(buffer: bytes, position: int, final: bool) -> bool:
    """Say whether a record may begin here, or everything ends here."""
    if len(buffer) - position < _HEAD:
        return final
    return _NEXT_HEAD.match(buffer, position) is not None
