"""The window: keys go to the console, its rows are painted eight times a second. No arithmetic here."""

import os
import time
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor

from textual import events
from textual.app import App, ComposeResult, SystemCommand
from textual.screen import Screen

from analysis.errors import FullturnError
from logger.live.console import Console
from logger.live.drawing.rows import plain
from logger.live.key_bindings import KEY_COMMANDS, key_name
from logger.live.opening import LiveSession
from logger.live.state.messages import ShowText
from logger.live.state.replay_control import turns_recorded
from logger.screen.colours import Colours, palette_of
from logger.screen.panel import Panel
from logger.screen.prompt import PromptScreen

FRAMES_A_SECOND = 8
"""As often as an eye reads digits that change; what a key does is painted at once."""
BELL_APART_S = 0.18
REST = 4.0
"""An analysis is followed by a rest so many times as long."""


class Window(App[None]):
    """One person's window on one live session. ``clock`` gives seconds that never go back."""

    # A prompt is a screen too: one that were painted like the window would hide the page behind it.
    CSS = "Screen { background: #121212; } ModalScreen { background: transparent; }"
    ENABLE_COMMAND_PALETTE = True
    COMMAND_PALETTE_BINDING = "ctrl+p"
    TITLE = "fullturn"

    def __init__(
        self,
        console: Console,
        live_session: LiveSession,
        *,
        clock: Callable[[], float] = time.monotonic,
        frames_a_second: float = FRAMES_A_SECOND,
    ) -> None:
        super().__init__()
        self.console_ = console
        self._live_session = live_session
        self._clock = clock
        self._frames = frames_a_second
        self._light = console.light
        no_color = bool(os.environ.get("NO_COLOR"))
        self._palette = palette_of(self.console.color_system, os.environ.get("TERM", ""), no_color=no_color)
        self._analysing = self._ended = False
        self._next_analysis_s = self._painted_s = 0.0
        # One thread for ever: each new one would keep the memory of its largest analysis for itself.
        self._beside = ThreadPoolExecutor(1, "fullturn-study")
        self.panel = Panel(self._colours(), console.click)
        """The widget that fills the window."""
        self.frames = 0
        """How many frames were painted."""

    def compose(self) -> ComposeResult:
        """One panel fills the window."""
        yield self.panel

    def _colours(self) -> Colours:
        return Colours(light=self._light, palette=self._palette)

    def on_mount(self) -> None:
        """Begin to paint, and to read."""
        self.panel.focus()
        if not self.console_.runtime.started:
            self.console_.runtime.start()
        self.set_interval(1.0 / self._frames, self.frame)
        if self._live_session.replay is not None:
            self._beside.submit(self._look_up_turns)
        self.frame()

    def _look_up_turns(self) -> None:
        replay, path = self._live_session.replay, self._live_session.path
        if replay is not None and path is not None:
            replay.recorded = turns_recorded(path)

    def frame(self) -> None:
        """Take what has come and paint it."""
        console = self.console_
        console.typing = len(self.screen_stack) > 1
        console.tick()
        self._ring_bells(console.bells_to_ring())
        self._analyse()
        if console.prompt is not None and len(self.screen_stack) == 1:
            prompt, console.prompt = console.prompt, None
            self.push_screen(PromptScreen(prompt, self._ask_end))
        if console.over or self._ended:
            self.exit()
            return
        if console.light != self._light:
            self._light = console.light
            self.panel.recolour(self._colours())
        size = self.panel.size
        if size.width and size.height:
            self.panel.show(console.paint(size.width, size.height))
            self.frames += 1
            self._painted_s = self._clock()

    def _ring_bells(self, times: int) -> None:
        for k in range(times):
            self.set_timer(0.001 + k * BELL_APART_S, self.bell)

    def _analyse(self) -> None:
        if self.console_.wants_work and not self._analysing and self._clock() >= self._next_analysis_s:
            self._analysing = True
            self._beside.submit(self._analyse_beside)

    def _analyse_beside(self) -> None:
        took_s = 0.0
        try:
            took_s = self.console_.work()
        except FullturnError as error:
            self.console_.runtime.post(ShowText(str(error)))
        finally:
            # A long sweep takes longer to analyse: it gets a fifth of the time at most. What is closed beside
            # it is closed once, and no part waits for that.
            self._next_analysis_s = self._clock() + REST * took_s
            self._analysing = False

    def end(self) -> None:
        """Have it closed at the next frame; harmless in the handler of a signal."""
        self._ended = True

    def finish(self) -> None:
        """Wait for what runs beside the painting; after this nothing else touches the session."""
        self._beside.shutdown(wait=True, cancel_futures=True)

    def on_key(self, event: events.Key) -> None:
        """Hand a key to the console; while a line is being typed it goes there instead."""
        if len(self.screen_stack) > 1:
            return
        name = event.character if event.character and event.character.isprintable() else event.key
        key = event.key if event.key in ("space", "enter") else (name or event.key)
        if key == " ":
            key = "space"
        event.prevent_default()
        event.stop()
        if event.key == "ctrl+c":
            self._ask_end()
            return
        self.console_.key(key, self._clock())
        if self._clock() - self._painted_s >= 1.0 / self._frames:
            self.call_after_refresh(self.frame)

    def _ask_end(self) -> None:
        """End at the second press, as Q does."""
        self.console_.do("quit")

    def on_resize(self) -> None:
        """Paint at once in the new size."""
        if len(self.screen_stack) == 1 and self.panel.size.width:
            self.call_after_refresh(self.frame)

    async def action_quit(self) -> None:
        """Ctrl-Q, as Ctrl-C and Q."""
        if len(self.screen_stack) == 1:
            self._ask_end()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Every command once more, for the palette."""
        for command in KEY_COMMANDS:
            if command.name in ("up", "down", "left", "right", "back"):
                continue
            yield SystemCommand(
                f"{command.label}  ({key_name(command)})",
                command.help,
                lambda name=command.name: self.console_.do(name),
            )

    def text(self) -> list[str]:
        """Return what is shown, as lines."""
        return [plain(row) for row in self.panel.rows]
