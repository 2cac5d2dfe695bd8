"""What every page's controller has, and what they all share: state, options, prompt, next page."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from analysis.setup import Setup
from analysis.store.rows import StoredTurn
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.rows import Row, page
from logger.live.state.runtime import LiveRuntime
from logger.live.state.view import View


@dataclass(frozen=True)
class Prompt:
    """A line that has to be typed."""

    title: str
    hint: str
    initial: str
    take: Callable[[str], None]
    """Takes the line; raises BadInput with words where it will not do."""


@dataclass
class PageContext:
    """What all controllers of one window share."""

    runtime: LiveRuntime
    options: DisplayOptions
    config_folder: Path
    data_folder: Path
    library: Callable[[], list[StoredTurn]]
    """The stored turns, newest first; raises StoreError."""
    go: Callable[[str], None] = lambda name: None
    """Opens the page of this name."""
    prompt: Prompt | None = None
    """A line that is to be typed, until the window has taken it."""

    @property
    def setup(self) -> Setup:
        """The set-up in force."""
        return self.runtime.session.setup

    def ask(self, title: str, hint: str, take: Callable[[str], None], initial: str = "") -> None:
        """Have a line typed."""
        self.prompt = Prompt(title, hint, initial, take)


class PageController:
    """One page: what its keys do and what it shows. A page overrides what it has."""

    name = ""
    """As in ``orders``, where it has a key of its own."""
    direct = False
    """Its order does nothing but open it."""
    behind = "turning"
    """Where ``back`` leads."""

    def __init__(self, context: PageContext) -> None:
        self.context = context
        self.chosen = 0
        """Which line of a list is chosen."""

    def enter(self) -> None:
        """Begin anew; called when the page is opened."""
        self.chosen = 0

    def leave(self) -> None:
        """Put away what the page began; called when another page is opened."""

    def size(self) -> int:
        """Return how many lines can be chosen from."""
        return 0

    def move(self, step: int) -> None:
        """Choose another line."""
        if self.size():
            self.chosen = (self.chosen + step) % self.size()

    def change(self, step: int) -> None:
        """Take the value before or after (left, right)."""

    def primary(self) -> None:
        """Do what the bottom line says."""

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "next"

    def back(self) -> bool:
        """Close what is open within the page; False where nothing was."""
        return False

    def command(self, name: str) -> bool:
        """Do a command that only some pages have; False where this page has it not."""
        del name
        return False

    def takes(self, key: str) -> bool:
        """Take a key before it is a command, while something is typed; False where it is none of its."""
        del key
        return False

    def tick(self) -> None:
        """Look at what has come, before painting."""

    def bells_due(self) -> int:
        """Return how many bells this page wants rung now, and forget them."""
        return 0

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page without its footer, exactly ``height`` rows."""
        del view
        return page((), width, height)
