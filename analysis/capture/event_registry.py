"""What an event is, and how a kind of event is registered under the word it is written with."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, TypeVar

WORD = "event"
"""The key under which a written event has its word."""
KEY = "key"
"""In the metadata of a field: the key it is written under, where that is not its own name."""


@dataclass(frozen=True)
class Event:
    """Something noted while a sweep is taken, or found out about it while it is read."""

    KIND: ClassVar[str] = ""
    """The word it is written with."""


@dataclass(frozen=True)
class TimedEvent:
    """An event of a sweep with the device time of the sample before it, seconds; None where none came."""

    t_s: float | None
    event: Event


REGISTRY: dict[str, tuple[type[Event], ...]] = {}
"""The kinds of event by their word; of several the first that fits what was written."""

_Kind = TypeVar("_Kind", bound=Event)


def recorded_as(*words: str) -> Callable[[type[_Kind]], type[_Kind]]:
    """Register a kind of event under the word, or words, it is written with."""

    def register(kind: type[_Kind]) -> type[_Kind]:
        kind.KIND = words[0]
        for word in words:
            REGISTRY[word] = (*REGISTRY.get(word, ()), kind)
        return kind

    return register
