"""One line to be typed, with what was wrong with it beneath; the window goes on behind it."""

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from analysis.errors import FullturnError
from logger.live.controllers.window_intents import Prompt
from logger.live.drawing.rows import harmless


class PromptScreen(ModalScreen[None]):
    """Asks for a line until it will do, or Escape."""

    DEFAULT_CSS = """
    PromptScreen { align: center bottom; background: transparent; }
    PromptScreen Vertical { height: auto; width: 100%; background: $surface; border-top: solid $primary; }
    PromptScreen Static { height: auto; padding: 0 2; }
    PromptScreen Input { border: none; height: 1; margin: 0 2; }
    """
    BINDINGS: ClassVar = [
        Binding("escape", "dismiss_prompt", "back", show=False),
        # Before the field takes it for copying.
        Binding("ctrl+c", "interrupt", "end", show=False, priority=True),
    ]

    def __init__(self, prompt: Prompt, interrupt: Callable[[], None]) -> None:
        """``interrupt`` is called for Ctrl-C, once the prompt is gone."""
        super().__init__()
        self._prompt, self._interrupt = prompt, interrupt

    def compose(self) -> ComposeResult:
        """Lay the line out."""
        with Vertical():
            yield Static(Text(self._prompt.title), id="title")
            yield Input(value=self._prompt.initial, placeholder=self._prompt.hint, max_length=300)
            yield Static(Text(self._prompt.hint), id="words")

    def on_mount(self) -> None:
        """Let typing begin."""
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the line, or say what is wrong with it."""
        line = harmless(event.value)
        try:
            self._prompt.take(line)
        except FullturnError as error:
            self.query_one("#words", Static).update(Text(str(error)))
            return
        self.dismiss(None)

    def action_interrupt(self) -> None:
        """Leave without changing anything, and end."""
        self.dismiss(None)
        self._interrupt()

    def action_dismiss_prompt(self) -> None:
        """Leave without changing anything."""
        self.dismiss(None)
