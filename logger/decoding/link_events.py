"""What a session tells its caller besides the snapshot."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from logger.wire.messages import Message


@dataclass(frozen=True, slots=True)
class BoardMessage:
    """A hello, channel, reply or error, for whoever talks to the board."""

    message: Message


@dataclass(frozen=True, slots=True)
class Noted:
    """Something that has to be written into the recording as an event, once."""

    fields: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Restarted:
    """The board restarted: another boot_id."""

    boot_id: int


LinkOutput = BoardMessage | Noted | Restarted
