"""What every page's controller has, and what it sees and can do."""

from collections.abc import Callable
from dataclasses import dataclass

from analysis.setup import Setup
from logger.live.controllers.window_intents import AnyIntent, Ask, Prompt
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.rows import Row, page
from logger.live.state.state import LiveState
from logger.live.state.view import View


@dataclass(frozen=True)
class PageContext:
    """What a controller sees of its window, and the one thing it can do: send an intent."""

    state_now: Callable[[], LiveState]
    options_now: Callable[[], DisplayOptions]
    send: Callable[[AnyIntent], None]
    """Raises BadInput where what is asked for will not do."""

    @property
    def state(self) -> LiveState:
        """Everything that is known now."""
        return self.state_now()

    @property
    def options(self) -> DisplayOptions:
        """How this person wants to look at it."""
        return self.options_now()

    @property
    def setup(self) -> Setup:
        """The set-up in force."""
        return self.state.setup

    def ask(self, title: str, hint: str, take: Callable[[str], None], initial: str = "") -> None:
        """Have a line typed."""
        self.send(Ask(Prompt(title, hint, take, initial)))


class PageController:
    """One page: what its keys do and what it shows. A page overrides what it has."""

    name = ""
    """As in ``OpenPage``."""
    behind = "turning"
    """Where ``Back`` leads."""

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

    @property
    def typing(self) -> bool:
        """Tell whether letters are typed now, so that none of them is a command."""
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
