"""How a recording is laid out inside its container: names, topics, checks and limits.

Both the writer and the decoder read this page; neither knows anything of it that is not said here.

Every message carries its own check: the container's ``sequence`` field (optional there, and of no other
use in a file that one process writes in order) holds the CRC-32 of topic, encoding, channel, both times
and data, and the channel's metadata says so. The container itself has one checksum for the whole file,
at its very end: a file without its closing records would have none, and one damaged byte would spoil all.
A file whose channels do not announce the check is read without it.
"""

import re
import struct
import zlib
from collections.abc import Mapping
from dataclasses import dataclass

PROFILE = "fullturn"
FORMAT = 1
"""Version of this layout. A file with a higher one is refused, a lower one stays readable for ever."""

EVENTS = "events"
JSON = "json"
FRAMES = "cobs-crc16-v1"
LINES = "lines"
LINK_ENCODINGS = (FRAMES, LINES)
CHECK = {"sequence": "crc32"}
"""Metadata of a channel whose messages carry their check."""
LIBRARY_CHECK = "(sequence = crc32)"
"""How the header's library text ends in a file whose messages carry their check."""

RECORD_LIMIT = 1 << 20
"""Longest record a recording can hold, bytes; a length above it is damage."""
MESSAGE_LIMIT = 4096
"""Most link bytes in one message."""
GATHER_NS = 20_000_000
"""Longest time for which link bytes are gathered before they are written."""
LINKS = 16
"""Links that can be told apart by channel number alone, when their channel record is damaged."""

MESSAGE_HEAD = struct.Struct("<HIQQ")
"""Channel, sequence, log time, publish time: what stands before the data of a message."""
_CHECKED_HEAD = struct.Struct("<HQQ")
_LINK_TOPIC = re.compile(r"link/(\d{1,3})")


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a recording comes from; empty text where the file no longer says."""

    recording_id: str = ""
    """UUID4 as text."""
    started: str = ""
    """ISO 8601, UTC."""
    fullturn: str = ""
    """Version of the program that wrote it."""
    format: int = FORMAT


def link_topic(link: int) -> str:
    """Return the topic on which the bytes of a link are kept."""
    return f"link/{link}"


def link_of(topic: str) -> int | None:
    """Return the number of the link a topic stands for; None for any other topic."""
    match = _LINK_TOPIC.fullmatch(topic)
    return int(match[1]) if match else None


def usual_topic(channel_id: int) -> str | None:
    """Return the topic that the writer gives this channel number: 1 events, 2 link/0, 3 link/1, ..."""
    if channel_id == 1:
        return EVENTS
    return link_topic(channel_id - 2) if 2 <= channel_id < 2 + LINKS else None


def check_seed(topic: str, encoding: str) -> int:
    """Return where the check of every message on this topic starts."""
    return zlib.crc32(f"{topic} {encoding}\n".encode())


def message_check(seed: int, channel_id: int, log_time: int, publish_time: int, data: bytes) -> int:
    """Return the check of one message: CRC-32 over topic, encoding, channel, times and data."""
    return zlib.crc32(data, zlib.crc32(_CHECKED_HEAD.pack(channel_id, log_time, publish_time), seed))


def parse_origin(text: Mapping[str, str]) -> Origin:
    """Read the origin of a recording from its metadata; a format that is no number counts as newer."""
    written = text.get("format", str(FORMAT))
    version = int(written) if written.isdecimal() and written.isascii() else FORMAT + 1
    return Origin(
        recording_id=text.get("recording_id", ""),
        started=text.get("started", ""),
        fullturn=text.get("fullturn", ""),
        format=version,
    )
