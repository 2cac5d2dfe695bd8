"""What a recording says of itself: whose it is, whence it comes, its set-up, its channels, and its checks.

Takes records that a container's reader has parsed and believes only those that are whole and, once anything
has said that this file carries checks, only those whose check is right.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from mcap.records import Channel, Header, McapRecord, Metadata, MetadataIndex, Statistics

from analysis.setup import setup_crc32
from logger.recording.layout import (
    CHECK,
    EVENTS,
    JSON,
    LIBRARY_CHECK,
    LINK_ENCODINGS,
    PROFILE,
    Origin,
    check_seed,
    link_of,
    message_check,
    parse_origin,
    usual_topic,
)


@dataclass(frozen=True, slots=True)
class Topic:
    """What a channel number stands for."""

    name: str
    encoding: str
    checked: bool
    """Whether its messages carry their check."""
    seed: int
    """Where the check of its messages starts."""
    link: int | None
    """Number of the link; None for events."""


class Head:
    """The file's own word about itself, as far as it was read and can be believed."""

    def __init__(self) -> None:
        self.ours = False
        """True once the profile or an origin of this program was seen."""
        self.profile: str | None = None
        """Profile as the header states it; None while no header was seen."""
        self.checked = False
        """True once anything said that messages carry their check: from then on none passes without."""
        self.origin = Origin()
        self.setup: dict[str, str] = {}
        """The set-up that holds from the first message."""
        self.topics: dict[int, Topic] = {}
        self.encodings: dict[int, str] = {}
        """Encoding of each link that was announced."""
        self._unproven: set[str] = set()
        """Which of origin and set-up were taken without a checksum."""

    def take(self, record: McapRecord, length: int) -> bool:
        """Take a record that stands before the messages, or after them; False when it cannot be believed."""
        if isinstance(record, Header):
            return self._header(record, length)
        if isinstance(record, Channel):
            return self._channel(record, length)
        if isinstance(record, Metadata):
            return self._metadata(record, length)
        if isinstance(record, MetadataIndex):
            return record.name in ("origin", "setup")
        return isinstance(record, Statistics) and length == 46 + 10 * len(record.channel_message_counts)

    def text_of(self, record: Metadata, length: int) -> dict[str, str] | None:
        """Return what a metadata record holds, less its checksum; None when it cannot be believed."""
        text = {key: value for key, value in record.metadata.items() if key != "crc32"}
        unproven = "crc32" not in record.metadata and not self.checked
        whole = length == _text_size(record.name, record.metadata)
        return text if whole and (unproven or record.metadata.get("crc32") == setup_crc32(text)) else None

    def ask_for_checks(self) -> None:
        """From now on nothing is believed without its check, nor is what was taken without."""
        self.checked = True
        if "setup" in self._unproven:
            self.setup = {}
        if "origin" in self._unproven:
            self.origin = Origin()
        self._unproven.clear()

    def usual(self, channel: int, check: int, times: tuple[int, int], data: bytes) -> Topic | None:
        """Find a message's topic by the layout's own numbering, where its channel record is damaged."""
        name = usual_topic(channel)
        if name is None:
            return None
        for encoding in (JSON,) if name == EVENTS else LINK_ENCODINGS:
            if message_check(check_seed(name, encoding), channel, *times, data) == check:
                return self._announce(channel, name, encoding, checked=True)
        return None

    def _announce(self, channel: int, name: str, encoding: str, *, checked: bool) -> Topic:
        topic = Topic(name, encoding, checked, check_seed(name, encoding), link_of(name))
        self.topics[channel] = topic
        if topic.link is not None:
            self.encodings[topic.link] = encoding
        return topic

    def _header(self, record: Header, length: int) -> bool:
        whole = 8 + len(record.profile.encode()) + len(record.library.encode())
        if self.profile is not None or length != whole:
            return False
        self.profile = record.profile
        self.ours = self.ours or record.profile == PROFILE
        if record.library.endswith(LIBRARY_CHECK):
            self.ask_for_checks()
        return True

    def _channel(self, record: Channel, length: int) -> bool:
        whole = 8 + len(record.message_encoding.encode()) + _text_size(record.topic, record.metadata)
        link = link_of(record.topic)
        fits = record.message_encoding in (LINK_ENCODINGS if link is not None else (JSON,))
        if length != whole or not fits or (link is None and record.topic != EVENTS):
            return False
        checked = record.metadata == CHECK
        known = self.topics.get(record.id)
        if known is None:
            self._announce(record.id, record.topic, record.message_encoding, checked=checked)
        elif (known.name, known.encoding) != (record.topic, record.message_encoding):
            return False  # the container forbids a channel to change: one of the two is damaged
        if checked:
            self.ask_for_checks()
        return True

    def _metadata(self, record: Metadata, length: int) -> bool:
        text = self.text_of(record, length)
        if text is None or record.name not in ("origin", "setup"):
            return False
        proven = "crc32" in record.metadata
        (self._unproven.discard if proven else self._unproven.add)(record.name)
        if record.name == "setup":
            self.setup = text
        elif "recording_id" in text and "fullturn" in text:
            self.ours = True
            self.origin = parse_origin(text)
            if proven:
                self.ask_for_checks()  # only a writer that checks everything gives an origin a checksum
        return True


def _text_size(name: str, text: Mapping[str, str]) -> int:
    """Return how many bytes a name and a text-to-text map take in a record."""
    pairs = sum(8 + len(key.encode()) + len(value.encode()) for key, value in text.items())
    return 8 + len(name.encode()) + pairs
