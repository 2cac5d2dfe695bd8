"""What a link gives besides samples: what the board says, a press that did nothing, events to record."""

from dataclasses import dataclass

from analysis.capture.events import Event
from logger.wire.messages import Message


@dataclass(frozen=True, slots=True)
class BoardMessage:
    """A hello, channel, reply or error, for whoever talks to the board."""

    message: Message


@dataclass(frozen=True, slots=True)
class PressRefused:
    """A press of the board's button that did nothing, and why in words."""

    words: str


LinkOutput = BoardMessage | PressRefused | Event
