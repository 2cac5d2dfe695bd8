"""What a key does to the window itself; what it does to the measurement stands in ``live.state.messages``."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from logger.live.state.messages import Intent
from logger.live.state.runtime import LiveRuntime


@dataclass(frozen=True)
class Prompt:
    """A line that has to be typed."""

    title: str
    hint: str
    take: Callable[[str], None]
    """Takes the line; raises BadInput with words where it will not do."""
    initial: str = ""


@dataclass(frozen=True)
class Primary:
    """Do what the bottom line says."""


@dataclass(frozen=True)
class Back:
    """Close what is open within the page, else the page."""


@dataclass(frozen=True)
class Choose:
    """Choose a line further down, or up."""

    step: int


@dataclass(frozen=True)
class ChangeValue:
    """Take the value after, or before."""

    step: int


@dataclass(frozen=True)
class OpenPage:
    """Open the page of this name."""

    name: str


@dataclass(frozen=True)
class TogglePage:
    """Open the page of this name, or close it where it is open."""

    name: str


@dataclass(frozen=True)
class PageCommand:
    """Do a command that only some pages have."""

    name: str


@dataclass(frozen=True)
class SwitchUnits:
    """Every number in the other system."""


@dataclass(frozen=True)
class ToggleOption:
    """Turn one of the display options over."""

    name: Literal["round", "light", "thick"]


@dataclass(frozen=True)
class ToggleBells:
    """Bells on, or off."""


@dataclass(frozen=True)
class ToggleLock:
    """Lock the keys, or unlock them."""


@dataclass(frozen=True)
class EndWindow:
    """End the window."""


@dataclass(frozen=True)
class AskName:
    """Ask for the name of the recording."""


@dataclass(frozen=True)
class AskExclusion:
    """Ask what does not count, and why."""


@dataclass(frozen=True)
class SteerReplay:
    """Pause a replay, or change how fast it goes."""

    how: Literal["pause", "step", "faster", "slower"]


@dataclass(frozen=True)
class AskTurn:
    """Ask for the turn of a replay to go on from."""


@dataclass(frozen=True)
class JumpTo:
    """Let a replay go on from the start of this turn, counted from 1."""

    turn: int


@dataclass(frozen=True)
class JumpBy:
    """Let a replay go on from the start of a turn before or after the one it is in."""

    turns: int


@dataclass(frozen=True)
class Ask:
    """Have a line typed."""

    prompt: Prompt


@dataclass(frozen=True)
class SessionReplaced:
    """Another live session is shown from here on."""

    runtime: LiveRuntime


WindowIntent = (
    Primary
    | Back
    | Choose
    | ChangeValue
    | OpenPage
    | TogglePage
    | PageCommand
    | SwitchUnits
    | ToggleOption
    | ToggleBells
    | ToggleLock
    | EndWindow
    | AskName
    | AskExclusion
    | SteerReplay
    | AskTurn
    | JumpTo
    | JumpBy
    | Ask
    | SessionReplaced
)
AnyIntent = WindowIntent | Intent
