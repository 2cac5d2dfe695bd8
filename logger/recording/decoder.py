"""Turn the bytes of a recording into items, in any pieces, damaged or not: no file, no clock.

What is damaged is stepped over to the next record that proves itself, and its bytes are counted; what
cannot prove itself never becomes an item. The container's own stream reader parses every kind of record
but messages: those are nearly all of a recording and have one fixed head, which is read here directly
(and a test holds both to the same answer).
"""

import json
import re
import struct
from io import BytesIO
from zlib import crc32

from mcap.exceptions import McapError
from mcap.opcode import Opcode
from mcap.records import Metadata
from mcap.stream_reader import StreamReader

from analysis.capture.event_words import decode
from analysis.capture.events import WORD
from logger.recording.head import Head, Topic
from logger.recording.layout import FRAMES, MESSAGE_HEAD, RECORD_LIMIT, message_check
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent, SetupChange

MAGIC = b"\x89MCAP0\r\n"
TRIED_PER_BYTE = 64
"""So many bytes may be tried in vain for every byte of a file, and ``TRIED_AT_ONCE`` more: a damaged length
makes up to 1 MiB be checked for nothing, and a file may hold one in every eleven bytes."""
TRIED_AT_ONCE = 1 << 22
TRIAL = 64
"""Messages without a check that are held back until it is clear that the file carries none."""
_RECORD_HEAD = struct.Struct("<BQ")
_HEAD = _RECORD_HEAD.size
_MESSAGE_RECORD = struct.Struct("<BQHIQQ")
"""Head of a record and of the message in it: opcode, length, channel, check, log and publish time."""
_TIMES_AT = 15
"""Where in it the two times lie: the data follow them, so that one check goes over both."""
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
_OPCODE = b"[" + re.escape(bytes(sorted(_KNOWN))) + b"]"
_NEXT_HEAD = re.compile(_OPCODE + rb"[\x00-\xff]{2}[\x00-\x10]\x00{5}", re.DOTALL)
"""A place where a record may begin: a known opcode and a length below the limit."""
_FAULTS = (McapError, struct.error, ValueError, EOFError, RecursionError)
"""What the readers of container and JSON raise at damaged bytes (UnicodeDecodeError is a ValueError)."""


class RecordingDecoder:
    """Bytes of one recording in, items out, with the counts of what was found.

    The set-up before the first message is kept in ``head`` and is no item; each later one is a SetupChange,
    dated by the message before it, for the container gives set-ups no time of their own. ``joined``: bytes of
    a link that carries frames, with nothing between them, come as one item dated by its last message; the
    first message of each link comes by itself, for it says when the link began. ``notes_only``: the bytes of
    links are stepped over by their length, unproven: where a length is damaged, notes may be missed.
    """

    def __init__(self, *, joined: bool = False, notes_only: bool = False) -> None:
        self._joined, self._notes_only = joined, notes_only
        self._begun: set[int] = set()
        """Links whose first message was given."""
        self.head = Head()
        """What the file says of itself."""
        self.closed = False
        """True when the closing records were seen, and nothing after them."""
        self.bytes = 0
        self.skipped_bytes = 0
        """Bytes that belong to no record that proved itself."""
        self.messages = 0
        self.tried_bytes = 0
        """Bytes that were checked as part of a record that was none."""
        self._rest = b""
        self._magic_due = True
        self._footer = False
        self._final = False
        self._last = HostTime(0, 0)
        self._items: list[Item] = []
        """What the present call gives."""
        self._held: list[tuple[Item, int]] = []
        """Items without a check, each with the length of its record, that wait for others to tell."""
        self._trusted = False
        """True once so many came without a check that this file has none."""

    def feed(self, data: bytes) -> list[Item]:
        """Return the items that these bytes complete."""
        self.bytes += len(data)
        return self._drain(self._rest + data if self._rest else data)

    def finish(self) -> list[Item]:
        """Return what can still be had from the rest, now that nothing more will come."""
        self._final = True
        items = self._drain(self._rest)
        items += [item for item, _ in self._held]
        self._held.clear()
        return items

    def _drain(self, buffer: bytes) -> list[Item]:
        items: list[Item] = []
        self._items = items
        final = self._final
        size = len(buffer)
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
            if self.head.checked and buffer[position] == _MESSAGE:
                ahead = self._link_messages(buffer, position)
                if ahead > position:
                    self.closed = False
                    position = ahead
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
            tried = 0 < end <= size and self._may_try(position + self.bytes - size, end - position)
            if tried and self._record(opcode, buffer, position, end):
                self.closed = False
                position = end
                continue
            if end > 0 and not final and not self.head.checked and end + _HEAD > size:
                break  # without checks a record is believed by the one after it, which has yet to come
            if tried:
                self.tried_bytes += (end - position) * _effort(opcode)
            found = _NEXT_HEAD.search(buffer, position + 1)
            # A head may lie across the end of what has come so far.
            stop = found.start() if found else size if final else max(position + 1, size - _HEAD + 1)
            self.closed = False
            self.skipped_bytes += stop - position
            position = stop
        self._rest = buffer[position:]
        return items

    def _may_try(self, place: int, length: int) -> bool:
        """Say whether a record of this length, at this place of the file, is worth the trying.

        Told by the place alone, so that pieces make no difference.
        """
        return self.tried_bytes + length <= TRIED_PER_BYTE * place + TRIED_AT_ONCE

    def _link_messages(self, buffer: bytes, position: int) -> int:
        """Take the messages of links that stand here one behind another; return where the first other begins.

        Only whole ones whose check is right: whatever else there is is left to ``_record``.
        """
        seeds = {
            number: (crc32(number.to_bytes(2, "little"), topic.seed), topic.link, topic.encoding == FRAMES)
            for number, topic in self.head.topics.items()
            if topic.link is not None
        }
        view, last = memoryview(buffer), len(buffer) - _MESSAGE_RECORD.size
        parts: list[memoryview] = []
        joined_link = log_time = publish_time = -1
        while position <= last:
            opcode, length, channel, check, log, publish = _MESSAGE_RECORD.unpack_from(buffer, position)
            end = position + _HEAD + length
            if opcode != _MESSAGE or channel not in seeds or not MESSAGE_HEAD.size <= length <= RECORD_LIMIT:
                break
            seed, link, frames = seeds[channel]
            if self._notes_only and end <= len(buffer):
                self.messages += 1
                position = end
                continue
            if end > len(buffer) or crc32(view[position + _TIMES_AT : end], seed) != check:
                break
            if parts and link != joined_link:
                self._give_joined(parts, joined_link, HostTime(log_time, publish_time))
            log_time, publish_time = log, publish
            data = view[position + _MESSAGE_RECORD.size : end]
            if self._joined and frames and link in self._begun:
                joined_link = link
                parts.append(data)
            else:
                self._items.append(LinkBytes(HostTime(log, publish), bytes(data), link))
                self._begun.add(link)
            self.messages += 1
            position = end
        if log_time >= 0:
            self._last = HostTime(log_time, publish_time)
            self._give_joined(parts, joined_link, self._last)
        return position

    def _give_joined(self, parts: list[memoryview], link: int, host: HostTime) -> None:
        if parts:
            self._items.append(LinkBytes(host, b"".join(parts), link))
            parts.clear()

    def _record(self, opcode: int, buffer: bytes, start: int, end: int) -> bool:
        """Take one whole record if it proves itself; False leaves everything as it was."""
        if opcode == _MESSAGE:
            return self._message(buffer, start + _HEAD, end)
        length = end - start - _HEAD
        if opcode in _EXACT:
            if length != _EXACT[opcode]:
                return False
            self._footer = self._magic_due = opcode == Opcode.FOOTER
            return True
        try:
            record = next(StreamReader(BytesIO(buffer[start:end]), skip_magic=True).records, None)
        except _FAULTS:
            return False
        if record is None:
            return False
        if isinstance(record, Metadata) and record.name == "setup" and self.messages:
            return self._setup(record, length)
        proven = self.head.take(record, length)
        if self.head.checked:
            self._end_trial()
        return proven

    def _setup(self, record: Metadata, length: int) -> bool:
        text = self.head.text_of(record, length)
        if text is None:
            return False
        item = SetupChange(self._last, text)
        if self.head.checked:
            self._items.append(item)
        else:
            self._give_unproven(item, _HEAD + length)
        return True

    def _message(self, buffer: bytes, start: int, end: int) -> bool:
        if end - start < MESSAGE_HEAD.size:
            return False
        head = self.head
        channel, check, log_time, publish_time = MESSAGE_HEAD.unpack_from(buffer, start)
        data = buffer[start + MESSAGE_HEAD.size : end]
        topic = head.topics.get(channel)
        proven = topic is not None and (
            message_check(topic.seed, channel, log_time, publish_time, data) == check
        )
        if not proven:
            if topic is None or topic.checked or head.checked:
                topic = head.usual(channel, check, (log_time, publish_time), data)
                proven = topic is not None
            elif not head.ours or not self._is_followed(buffer, end):
                topic = None  # nothing vouches for it: neither a check nor the head of the file
        item = _item(topic, HostTime(log_time, publish_time), data) if topic else None
        if item is None:
            return False
        self.messages += 1
        self._last = item.host
        if not proven:
            self._give_unproven(item, _HEAD + end - start)
            return True
        if not head.checked:
            head.ask_for_checks()
            self._end_trial()
        self._items.append(item)
        return True

    def _is_followed(self, buffer: bytes, position: int) -> bool:
        """Say whether a record may begin here, or everything ends here."""
        if len(buffer) - position < _HEAD:
            return self._final
        return _NEXT_HEAD.match(buffer, position) is not None

    def _give_unproven(self, item: Item, length: int) -> None:
        """Hand on what has no check, once it is clear that nothing in this file has one."""
        if self._trusted:
            self._items.append(item)
            return
        self._held.append((item, length))
        if len(self._held) >= TRIAL:
            self._trusted = True
            self._items += [held for held, _ in self._held]
            self._held.clear()

    def _end_trial(self) -> None:
        """Drop what was held back without a check, now that it is clear that it should have one."""
        for item, length in self._held:
            self.skipped_bytes += length
            self.messages -= not isinstance(item, SetupChange)
        self._held.clear()


def _effort(opcode: int) -> int:
    """Return how many times the trouble of a message a record of this kind is, byte by byte (measured)."""
    return 1 if opcode == _MESSAGE else 16


def _item(topic: Topic, host: HostTime, data: bytes) -> LinkBytes | RecordedEvent | None:
    """Return what a message says; None when an event is none."""
    if topic.link is not None:
        return LinkBytes(host, data, topic.link)
    try:
        fields = json.loads(data)
    except _FAULTS:
        return None
    if not isinstance(fields, dict) or not isinstance(fields.get(WORD), str):
        return None
    return RecordedEvent(host, decode(fields))
