"""What a link gives besides samples: what the board says to whoever talks to it, and events to record."""

from dataclasses import dataclass

from analysis.capture.events import Event
from logger.wire.messages import Message


@dataclass(frozen=True, slots=True)
class BoardMessage:
    """A hello, channel, reply or error, for whoever talks to the board."""

    message: Message


LinkOutput = BoardMessage | Event
