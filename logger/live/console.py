"""What keys do and which page is shown: a person's whole conversation with one desk, without any screen.

A key goes in by name, rows of text come out; where a line has to be typed, ``asking`` says what for. What a
key means on one page alone stands in ``logger.live.controllers``.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from analysis.setup import MarkSide
from analysis.store.rows import StoredTurn
from logger.live.controllers import prompts as asks
from logger.live.controllers.adjusting import AdjustingController
from logger.live.controllers.compare import CompareController
from logger.live.controllers.controller import PageContext, PageController, Prompt
from logger.live.controllers.finding import ApproachController, SpotListController
from logger.live.controllers.help import HelpController
from logger.live.controllers.numbers import NumbersController
from logger.live.controllers.preparation import EncoderController, IndicatorCheckController, SetupController
from logger.live.controllers.steps import ErrorSourcesController, StepsController
from logger.live.controllers.turning import TurningController, WallController
from logger.live.controllers.typed_readings import TypedReadingsController
from logger.live.drawing.display_options import LEAST_HEIGHT, LEAST_WIDTH, DisplayOptions
from logger.live.drawing.lengths import OTHER_SYSTEM
from logger.live.drawing.rows import Row, page
from logger.live.job.guide import JobGuide
from logger.live.job.practice_story import PracticeStory
from logger.live.key_bindings import BY_NAME, KeyCommand, KeyRepeatFilter, command_of
from logger.live.pages.page_frame import footer, too_small
from logger.live.state.replay_control import ReplayControl
from logger.live.state.runtime import LiveRuntime
from logger.live.state.view import View

WHILE_LOCKED = ("lock",)
BUTTON = "the board's button"
"""Its name at the gate of the keys."""


class Console:
    """One person's window on one desk."""

    def __init__(
        self,
        runtime: LiveRuntime,
        options: DisplayOptions,
        *,
        config_folder: Path,
        data_folder: Path,
        library: Callable[[], list[StoredTurn]] = list,
        replay: ReplayControl | None = None,
        story: PracticeStory | None = None,
    ) -> None:
        """``story``: the practice bench in this process moves on with the steps of a job."""
        self.context = PageContext(runtime, options, config_folder, data_folder, library, self.go)
        self.guide = JobGuide(
            lambda: self.context.runtime,
            data_folder,
            unit=lambda: self.context.options.unit,
            story=story,
            moved=self._move_to,
        )
        """The walk through a job, whichever page is open."""
        spots = SpotListController(self.context)
        controllers = (
            TurningController(self.context),
            WallController(self.context),
            SetupController(self.context),
            IndicatorCheckController(self.context),
            EncoderController(self.context),
            CompareController(self.context),
            NumbersController(self.context),
            spots,
            ApproachController(self.context, spots),
            TypedReadingsController(self.context),
            HelpController(self.context),
            StepsController(self.context, self.guide),
            ErrorSourcesController(self.context, self.guide),
            AdjustingController(self.context),
        )
        self.controllers: dict[str, PageController] = {
            controller.name: controller for controller in controllers
        }
        """Every page by its name."""
        self.page = "turning"
        self.locked, self.bells = False, True
        self.typing = False
        """A line is being typed: the board's button waits, for it is no answer."""
        self.over = False
        """True once the window is to be closed."""
        self._gate = KeyRepeatFilter()
        self._replay = replay
        self._bells_due: list[int] = []
        self._footer: list[tuple[int, int, str]] = []

    @property
    def runtime(self) -> LiveRuntime:
        """The desk, as it is now: a replay that jumps takes another."""
        return self.context.runtime

    @property
    def options(self) -> DisplayOptions:
        """How this person wants to look at it."""
        return self.context.options

    @property
    def prompt(self) -> Prompt | None:
        """A line that has to be typed."""
        return self.context.prompt

    @prompt.setter
    def prompt(self, asked: Prompt | None) -> None:
        self.context.prompt = asked

    @property
    def controller(self) -> PageController:
        """The page that is open."""
        return self.controllers[self.page]

    @property
    def light(self) -> bool:
        """Whether the colours are light: as wanted, and always on the wall."""
        return self.options.light or self.page == "wall"

    # --- in -------------------------------------------------------------------------------------------

    def key(self, key: str, now_s: float) -> None:
        """Take a key by its name; one that is held counts once."""
        if self.controller.takes(key):
            return
        command = command_of(key)
        counted = self._gate.passes(key, now_s)
        if command is not None and counted:
            self.do(command.name)

    def do(self, name: str) -> None:
        """Do a command by its name, whoever asks: a key, a click, the palette, the board's button."""
        if self.locked and name not in WHILE_LOCKED:
            return
        command = BY_NAME[name]
        if command.replay_only:
            self._steer_replay(command)
        elif command.steps_only:
            self._steer_steps(command)
        elif name in self.controllers and self.controllers[name].direct:
            self.go(name)
        else:
            getattr(self, "_do_" + name.replace("-", "_"))()

    def click(self, x: int) -> None:
        """Take a click on the footer."""
        for start, end, name in self._footer:
            if start <= x < end:
                self.do(name)

    def tick(self) -> None:
        """Look at what has come; called by the timer before painting."""
        self.runtime.poll()
        self._bells_due += self.runtime.bells_due
        self.runtime.bells_due.clear()
        if self.runtime.pressed:
            self.runtime.pressed = False
            if self._gate.passes(BUTTON, self.runtime.clock()) and not self.typing:
                self.do("next")
        self.guide.tick()
        self.controller.tick()

    @property
    def wants_work(self) -> bool:
        """Tell whether sweeps of the job wait to be read beside the painting."""
        return self.guide.wants_work

    def work(self) -> None:
        """Read them; from the one thread beside the painting."""
        self.guide.work()

    def _move_to(self, runtime: LiveRuntime) -> None:
        self.context.runtime = runtime

    def sample_ring(self) -> int:
        """Return how many bells are to be rung now, and forget them."""
        self._bells_due.append(self.controller.bells_due())
        wanted = max(self._bells_due) if self.bells else 0
        self._bells_due.clear()
        return wanted

    def go(self, name: str) -> None:
        """Open a page."""
        self.controller.leave()
        self.page = name
        self.controller.enter()

    # --- what keys do on every page -------------------------------------------------------------------

    def _do_next(self) -> None:
        self.controller.primary()

    def _do_back(self) -> None:
        if not self.controller.back():
            self.go(self.controller.behind)

    def _do_up(self) -> None:
        self.controller.move(-1)

    def _do_down(self) -> None:
        self.controller.move(1)

    def _do_left(self) -> None:
        self.controller.change(-1)

    def _do_right(self) -> None:
        self.controller.change(1)

    def _do_find(self) -> None:
        self.go("targets")

    def _do_typed(self) -> None:
        self.go("typed")

    def _do_wall(self) -> None:
        self.go("turning" if self.page == "wall" else "wall")

    def _do_help(self) -> None:
        self.go("turning" if self.page == "help" else "help")

    def _do_mark(self) -> None:
        self.runtime.acts.mark(MarkSide.PART)

    def _do_arbor(self) -> None:
        if not self.context.setup.stage.on_lathe:
            self.runtime.say("the arbor's mark is for steps on the lathe: choose the stage in Set-up (2)")
            return
        self.runtime.acts.mark(MarkSide.ARBOR)

    def _do_zero(self) -> None:
        self.runtime.acts.zero()

    def _do_clear(self) -> None:
        self.runtime.acts.clear_ends()

    def _do_undo(self) -> None:
        self.runtime.acts.undo()

    def _do_units(self) -> None:
        self.context.options = replace(self.options, unit=OTHER_SYSTEM[self.options.unit])

    def _do_round(self) -> None:
        self.context.options = replace(self.options, round=not self.options.round)

    def _do_light(self) -> None:
        self.context.options = replace(self.options, light=not self.options.light)

    def _do_thick(self) -> None:
        self.context.options = replace(self.options, thick=not self.options.thick)

    def _do_bells(self) -> None:
        self.bells = not self.bells
        self.runtime.say("bells on" if self.bells else "bells off")

    def _do_lock(self) -> None:
        self.locked = not self.locked
        if not self.locked:
            self.runtime.say("keys unlocked")

    def _do_quit(self) -> None:
        self.ask_to_end()

    def ask_to_end(self) -> None:
        """End the window at once, or ask where a named recording runs; also while the keys are locked."""

        def end() -> None:
            self.over = True

        asks.end(self.context, end)

    def _do_name(self) -> None:
        asks.name(self.context)

    def _do_leave_out(self) -> None:
        asks.leave_out(self.context)

    def _steer_steps(self, command: KeyCommand) -> None:
        if not self.controller.command(command.name):
            self.runtime.say(f"{command.label}: only in Steps (3)")

    def _steer_replay(self, command: KeyCommand) -> None:
        replay = self._replay
        if replay is None:
            self.runtime.say(f"{command.label}: only in a replay")
        elif command.name == "jump":
            asks.jump(self.context, replay)
        else:
            getattr(replay, command.name)()

    # --- out ------------------------------------------------------------------------------------------

    def view(self) -> View:
        """Return what is known now, and how this window stands."""
        return replace(
            self.runtime.view(),
            locked=self.locked,
            bells=self.bells,
            replaying=self._replay.standing(self.runtime) if self._replay else None,
        )

    def paint(self, width: int, height: int) -> list[Row]:
        """Return the whole window, exactly ``height`` rows of ``width`` cells."""
        self._footer = []
        if width < LEAST_WIDTH or height < LEAST_HEIGHT:
            return page(too_small(width, height), width, height)
        view = self.view()
        if self.page == "wall":
            return self.controller.paint(view, width, height)
        last, self._footer = footer(view, self.controller.primary_label(view), width)
        return [*self.controller.paint(view, width, height - 1), last]
