"""What keys do and which page is shown: a person's whole conversation with one desk, without any screen.

A key goes in by name, rows of text come out; where a line has to be typed, ``asking`` says what for. What a
key means on one page alone stands in ``logger.live.controllers``.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

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
from logger.live.key_bindings import BY_NAME, KeyCommand, KeyRepeatFilter, order_of
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
        desk: LiveRuntime,
        look: DisplayOptions,
        *,
        config_folder: Path,
        data_folder: Path,
        library: Callable[[], list[StoredTurn]] = list,
        replay: ReplayControl | None = None,
        story: PracticeStory | None = None,
    ) -> None:
        """``story``: the practice bench in this process moves on with the steps of a job."""
        self.table = PageContext(desk, look, config_folder, data_folder, library, self.go)
        self.walk = JobGuide(
            lambda: self.table.desk,
            data_folder,
            unit=lambda: self.table.look.unit,
            story=story,
            moved=self._move_to,
        )
        """The walk through a job, whichever page is open."""
        targets = SpotListController(self.table)
        talks = (
            TurningController(self.table),
            WallController(self.table),
            SetupController(self.table),
            IndicatorCheckController(self.table),
            EncoderController(self.table),
            CompareController(self.table),
            NumbersController(self.table),
            targets,
            ApproachController(self.table, targets),
            TypedReadingsController(self.table),
            HelpController(self.table),
            StepsController(self.table, self.walk),
            ErrorSourcesController(self.table, self.walk),
            AdjustingController(self.table),
        )
        self.talks: dict[str, PageController] = {talk.name: talk for talk in talks}
        """Every page by its name."""
        self.page = "turning"
        self.locked, self.bells = False, True
        self.typing = False
        """A line is being typed: the board's button waits, for it is no answer."""
        self.over = False
        """True once the window is to be closed."""
        self._gate = KeyRepeatFilter()
        self._replay = replay
        self._rings: list[int] = []
        self._footer: list[tuple[int, int, str]] = []

    @property
    def desk(self) -> LiveRuntime:
        """The desk, as it is now: a replay that jumps takes another."""
        return self.table.desk

    @property
    def look(self) -> DisplayOptions:
        """How this person wants to look at it."""
        return self.table.look

    @property
    def asking(self) -> Prompt | None:
        """A line that has to be typed."""
        return self.table.asking

    @asking.setter
    def asking(self, asked: Prompt | None) -> None:
        self.table.asking = asked

    @property
    def talk(self) -> PageController:
        """The page that is open."""
        return self.talks[self.page]

    @property
    def light(self) -> bool:
        """Whether the colours are light: as wanted, and always on the wall."""
        return self.look.light or self.page == "wall"

    # --- in -------------------------------------------------------------------------------------------

    def key(self, key: str, now_s: float) -> None:
        """Take a key by its name; one that is held counts once."""
        if self.talk.takes(key):
            return
        order = order_of(key)
        counted = self._gate.passes(key, now_s)
        if order is not None and counted:
            self.do(order.name)

    def do(self, name: str) -> None:
        """Do a command by its name, whoever asks: a key, a click, the palette, the board's button."""
        if self.locked and name not in WHILE_LOCKED:
            return
        order = BY_NAME[name]
        if order.replay_only:
            self._steer_replay(order)
        elif order.steps_only:
            self._steer_steps(order)
        elif name in self.talks and self.talks[name].direct:
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
        self.desk.poll()
        self._rings += self.desk.rings
        self.desk.rings.clear()
        if self.desk.pressed:
            self.desk.pressed = False
            if self._gate.passes(BUTTON, self.desk.clock()) and not self.typing:
                self.do("next")
        self.walk.tick()
        self.talk.tick()

    @property
    def wants_work(self) -> bool:
        """Tell whether sweeps of the job wait to be read beside the painting."""
        return self.walk.wants_work

    def work(self) -> None:
        """Read them; from the one thread beside the painting."""
        self.walk.work()

    def _move_to(self, desk: LiveRuntime) -> None:
        self.table.desk = desk

    def ring(self) -> int:
        """Return how many bells are to be rung now, and forget them."""
        self._rings.append(self.talk.rings())
        wanted = max(self._rings) if self.bells else 0
        self._rings.clear()
        return wanted

    def go(self, name: str) -> None:
        """Open a page."""
        self.talk.leave()
        self.page = name
        self.talk.enter()

    # --- what keys do on every page -------------------------------------------------------------------

    def _do_next(self) -> None:
        self.talk.next()

    def _do_back(self) -> None:
        if not self.talk.back():
            self.go(self.talk.behind)

    def _do_up(self) -> None:
        self.talk.move(-1)

    def _do_down(self) -> None:
        self.talk.move(1)

    def _do_left(self) -> None:
        self.talk.change(-1)

    def _do_right(self) -> None:
        self.talk.change(1)

    def _do_find(self) -> None:
        self.go("targets")

    def _do_typed(self) -> None:
        self.go("typed")

    def _do_wall(self) -> None:
        self.go("turning" if self.page == "wall" else "wall")

    def _do_help(self) -> None:
        self.go("turning" if self.page == "help" else "help")

    def _do_mark(self) -> None:
        self.desk.acts.mark("part")

    def _do_arbor(self) -> None:
        if not self.table.setup.stage.on_lathe:
            self.desk.say("the arbor's mark is for steps on the lathe: choose the stage in Set-up (2)")
            return
        self.desk.acts.mark("arbor")

    def _do_zero(self) -> None:
        self.desk.acts.zero()

    def _do_clear(self) -> None:
        self.desk.acts.clear_ends()

    def _do_undo(self) -> None:
        self.desk.acts.undo()

    def _do_units(self) -> None:
        self.table.look = replace(self.look, unit=OTHER_SYSTEM[self.look.unit])

    def _do_round(self) -> None:
        self.table.look = replace(self.look, round=not self.look.round)

    def _do_light(self) -> None:
        self.table.look = replace(self.look, light=not self.look.light)

    def _do_thick(self) -> None:
        self.table.look = replace(self.look, thick=not self.look.thick)

    def _do_bells(self) -> None:
        self.bells = not self.bells
        self.desk.say("bells on" if self.bells else "bells off")

    def _do_lock(self) -> None:
        self.locked = not self.locked
        if not self.locked:
            self.desk.say("keys unlocked")

    def _do_quit(self) -> None:
        self.ask_to_end()

    def ask_to_end(self) -> None:
        """End the window at once, or ask where a named recording runs; also while the keys are locked."""

        def end() -> None:
            self.over = True

        asks.end(self.table, end)

    def _do_name(self) -> None:
        asks.name(self.table)

    def _do_leave_out(self) -> None:
        asks.leave_out(self.table)

    def _steer_steps(self, order: KeyCommand) -> None:
        if not self.talk.order(order.name):
            self.desk.say(f"{order.label}: only in Steps (3)")

    def _steer_replay(self, order: KeyCommand) -> None:
        replay = self._replay
        if replay is None:
            self.desk.say(f"{order.label}: only in a replay")
        elif order.name == "jump":
            asks.jump(self.table, replay)
        else:
            getattr(replay, order.name)()

    # --- out ------------------------------------------------------------------------------------------

    def view(self) -> View:
        """Return what is known now, and how this window stands."""
        return replace(
            self.desk.view(),
            locked=self.locked,
            bells=self.bells,
            replaying=self._replay.standing(self.desk) if self._replay else None,
        )

    def paint(self, width: int, height: int) -> list[Row]:
        """Return the whole window, exactly ``height`` rows of ``width`` cells."""
        self._footer = []
        if width < LEAST_WIDTH or height < LEAST_HEIGHT:
            return page(too_small(width, height), width, height)
        view = self.view()
        if self.page == "wall":
            return self.talk.paint(view, width, height)
        last, self._footer = footer(view, self.talk.next_words(view), width)
        return [*self.talk.paint(view, width, height - 1), last]
