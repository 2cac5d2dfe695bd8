"""What keys do and which page is shown: one person's conversation with a live session, without a screen.

A key goes in by name, rows of text come out; where a line has to be typed, ``prompt`` says what for. What a
key means on one page alone stands in ``logger.live.controllers``.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import assert_never

from analysis.capture import Floats
from analysis.store.rows import StoredTurn
from logger.batch import BatchPlan
from logger.live.batch.batch_guide import BatchGuide
from logger.live.batch.part_sessions import PartSessions
from logger.live.controllers import prompts, window_intents as window
from logger.live.controllers.adjusting import AdjustingController
from logger.live.controllers.batch import BatchController
from logger.live.controllers.command_intents import INTENTS
from logger.live.controllers.compare import CompareController
from logger.live.controllers.controller import PageContext, PageController
from logger.live.controllers.finding import ApproachController, SpotListController
from logger.live.controllers.help import HelpController
from logger.live.controllers.numbers import NumbersController
from logger.live.controllers.preparation import EncoderController, IndicatorCheckController, SetupController
from logger.live.controllers.steps import ErrorSourcesController, StepsController
from logger.live.controllers.turning import TurningController, WallController
from logger.live.controllers.typed_readings import TypedReadingsController
from logger.live.controllers.window_intents import AnyIntent, Prompt, SessionReplaced, WindowIntent
from logger.live.drawing.display_options import LEAST_HEIGHT, LEAST_WIDTH, DisplayOptions
from logger.live.drawing.lengths import OTHER_SYSTEM
from logger.live.drawing.rows import Row, page
from logger.live.job.guide import JobGuide
from logger.live.job.guide_messages import MoveBench
from logger.live.job.practice_story import PracticeStory
from logger.live.key_bindings import BY_NAME, command_of
from logger.live.key_presses import KeyRepeatFilter, SecondPress
from logger.live.pages.page_frame import footer, too_small
from logger.live.state.effects import Announce, ForWindow, PressPrimary, RingBells
from logger.live.state.messages import ShowText
from logger.live.state.replay_control import ReplayControl
from logger.live.state.runtime import LiveRuntime
from logger.live.state.state import LiveState
from logger.live.state.view import View

WHILE_LOCKED = ("lock",)
BUTTON = "the board's button"
"""Its name at the filter of the keys."""


class Console:
    """One person's window on one live session; the only holder of its runtime."""

    def __init__(
        self,
        runtime: LiveRuntime,
        options: DisplayOptions,
        *,
        library: Callable[[], list[StoredTurn]] = list,
        replay: ReplayControl | None = None,
        story: PracticeStory | None = None,
        parts: PartSessions | None = None,
        planned: tuple[str, ...] = (),
        plan: BatchPlan | None = None,
        store: str | None = None,
    ) -> None:
        """``library`` gives the stored turns, newest first; ``story`` moves the practice bench with a job.

        ``parts`` opens the sessions of a batch, ``planned`` are its serials,
        ``plan`` what comes between, ``store`` knows what is done.
        """
        self.runtime, self.options = runtime, options
        """The live session of this moment: a replay that jumps, or a bench that moves on, has another."""
        self.prompt: Prompt | None = None
        """A line that has to be typed, until the window has taken it."""
        self.page = "turning"
        self.locked, self.bells = False, True
        self.typing = False
        """A line is being typed: the board's button waits, for it is no answer."""
        self.over = False
        """True once the window is to be closed."""
        self._filter, self._second = KeyRepeatFilter(), SecondPress()
        self._replay, self._story = replay, story
        self._bells_due: list[int] = []
        self._footer: list[tuple[int, int, str]] = []
        self.context = PageContext(self._state, lambda: self.options, self.send)
        self.guide = JobGuide(
            self._state,
            self.send,
            runtime.folders.data,
            now_ns=self._now_ns,
            unit=lambda: self.options.unit,
            floats_seen=self._floats_seen,
            story=story,
            move=self._move_bench,
        )
        """The guide through a job, whichever page is open."""
        self.batch = BatchGuide(
            lambda: self.runtime,
            self.send,
            lambda: self.options.unit,
            lambda new: self.send(SessionReplaced(new)),
            where=store,
            planned=planned,
            plan=plan,
            sessions=parts,
        )
        """The guide through a batch, whichever page is open."""
        spots = SpotListController(self.context)
        controllers = (
            TurningController(self.context),
            WallController(self.context),
            SetupController(self.context),
            IndicatorCheckController(self.context, self._recent),
            EncoderController(self.context),
            CompareController(self.context, library),
            NumbersController(self.context),
            spots,
            ApproachController(self.context, spots),
            TypedReadingsController(self.context),
            StepsController(self.context, self.guide),
            ErrorSourcesController(self.context, self.guide),
            AdjustingController(self.context),
            BatchController(self.context, self.batch),
        )
        self.controllers: dict[str, PageController] = {one.name: one for one in controllers}
        self.controllers["help"] = HelpController(self.context, self.controllers)
        """Every page by its name."""

    def _state(self) -> LiveState:
        return self.runtime.state

    def _now_ns(self) -> int:
        return self.runtime.now_ns()

    def _floats_seen(self, since_ns: int) -> int:
        return self.runtime.readout.floats_since(since_ns, self._state().board.step_mm)

    def _recent(self, seconds: float) -> tuple[Floats, Floats]:
        return self.runtime.readout.recent(seconds)

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
        if not self.locked and self.controller.takes(key):
            self._filter.passes(key, now_s)  # a scanner that ends a line twice does nothing by the second
            return
        command = command_of(key)
        counted = self._filter.passes(key, now_s)
        # What is asked for twice tells a second press from a held key by itself.
        if command is not None and (counted or self._before_second_press(command.name)):
            self.do(command.name)

    def do(self, name: str) -> None:
        """Do a command by its name, whoever asks: a key, a click, the palette, the board's button."""
        if self.locked and name not in WHILE_LOCKED:
            return
        words = self._before_second_press(name)
        if words:
            self._second.press(name, words, self.runtime.clock())
        else:
            self._second.forget()
            self.send(INTENTS[name])

    def _before_second_press(self, name: str) -> str:
        return prompts.before_second_press(name, self._state(), self.batch, locked=self.locked)

    def click(self, x: int) -> None:
        """Take a click on the footer."""
        for start, end, name in self._footer:
            if start <= x < end:
                self.do(name)

    def tick(self) -> None:
        """Look at what has come; called by the timer before painting."""
        for effect in self.runtime.poll():
            self._take(effect)
        confirmed = self._second.take(self.runtime.clock())
        if confirmed:
            self.send(INTENTS[confirmed])
        self.guide.tick()
        self.batch.tick()
        self.controller.tick()

    def _take(self, effect: ForWindow) -> None:
        match effect:
            case RingBells(times):
                self._bells_due.append(times)
            case PressPrimary():
                if self._filter.passes(BUTTON, self.runtime.clock()) and not self.typing:
                    self.do("next")
            case Announce(event):
                self.guide.take_event(event)
            case _:
                assert_never(effect)

    @property
    def wants_work(self) -> bool:
        """Tell whether something waits to be done beside the painting: turns, or sweeps of the job."""
        return self.runtime.wants_work or self.guide.wants_work or self.batch.wants_work

    def work(self) -> float:
        """Do it, from the one thread beside the painting; return how many seconds the turns alone took."""
        began_s = self.runtime.clock()
        self.runtime.work()
        took_s = self.runtime.clock() - began_s
        if self.guide.wants_work:
            self.guide.work()
        if self.batch.wants_work:
            self.batch.work()
        return took_s

    # --- what is asked for ----------------------------------------------------------------------------

    def send(self, intent: AnyIntent) -> None:
        """Do what is asked for, here or at the live session. Raises BadInput where it will not do."""
        if isinstance(intent, WindowIntent):
            self._do(intent)
        else:
            self.runtime.send(intent)

    def _do(self, intent: WindowIntent) -> None:
        match intent:
            case window.Primary():
                self.controller.primary()
            case window.Back():
                if not self.controller.back():
                    self._open(self.controller.behind)
            case window.Choose(step):
                self.controller.move(step)
            case window.ChangeValue(step):
                self.controller.change(step)
            case window.OpenPage(name):
                self._open(name)
            case window.TogglePage(name):
                if self.page == name:
                    self._open(self.controller.behind)
                else:
                    self.controllers[name].behind = self.page
                    self._open(name)
            case window.PageCommand(name):
                if not self.controller.command(name):
                    self.send(ShowText(f"{BY_NAME[name].label}: only in Steps (3)"))
            case window.SwitchUnits():
                self.options = replace(self.options, unit=OTHER_SYSTEM[self.options.unit])
            case window.ToggleOption(name):
                self.options = self.options.with_toggled(name)
            case window.ToggleBells():
                self.bells = not self.bells
                self.send(ShowText("bells on" if self.bells else "bells off"))
            case window.ToggleLock():
                self.locked = not self.locked
                if not self.locked:
                    self.send(ShowText("keys unlocked"))
            case window.EndWindow():
                self.over = True
            case window.AskName():
                prompts.name(self.context)
            case window.AskExclusion():
                prompts.exclusion(self.context)
            case window.SteerReplay() | window.AskTurn() | window.JumpTo() | window.JumpBy():
                self._steer(intent)
            case window.Ask(prompt):
                self.prompt = prompt
            case SessionReplaced(runtime):
                self.runtime = runtime
            case _:
                assert_never(intent)

    def _open(self, name: str) -> None:
        self.controller.leave()
        self.page = name
        self.controller.enter()

    def _steer(self, intent: window.SteerReplay | window.AskTurn | window.JumpTo | window.JumpBy) -> None:
        replay = self._replay
        if replay is None:
            name = intent.how if isinstance(intent, window.SteerReplay) else "jump"
            self.send(ShowText(f"{BY_NAME[name].label}: only in a replay"))
            return
        match intent:
            case window.SteerReplay("pause"):
                replay.pause()
            case window.SteerReplay("step"):
                replay.step()
            case window.SteerReplay("faster"):
                replay.faster()
            case window.SteerReplay("slower"):
                replay.slower()
            case window.AskTurn():
                prompts.turn(self.context, replay.turns)
            case window.JumpBy(turns):
                at = replay.position(self.runtime.session_tap.last_heard_ns)
                if replay.turns:
                    self._steer(window.JumpTo(min(max(at.turn + turns, 1), replay.turns)))
            case window.JumpTo(turn):
                old = self.runtime
                self.send(SessionReplaced(replay.jump(turn)))
                old.close()

    def _move_bench(self, wanted: MoveBench) -> None:
        assert self._story is not None
        self.send(SessionReplaced(self._story.move(self.runtime, wanted.name, wanted.seed, wanted.setup)))

    # --- out ------------------------------------------------------------------------------------------

    def bells_to_ring(self) -> int:
        """Return how many bells are to be rung now, and forget them."""
        due = [*self._bells_due, self.controller.bells_due()]
        self._bells_due.clear()
        return max(due) if self.bells else 0

    def view(self) -> View:
        """Return what is known now, and how this window stands."""
        heard_ns, view = self.runtime.session_tap.last_heard_ns, self.runtime.view()
        return replace(
            view,
            message=self._second.words or view.message,
            locked=self.locked,
            bells=self.bells,
            replaying=self._replay.position(heard_ns) if self._replay else None,
        )

    def paint(self, width: int, height: int) -> list[Row]:
        """Return the whole window, exactly ``height`` rows of ``width`` cells."""
        self._footer = []
        if width < LEAST_WIDTH or height < LEAST_HEIGHT:
            return page(too_small(width, height), width, height)
        view = self.view()
        if self.page == "wall":
            return self.controller.paint(view, width, height)
        last, self._footer = footer(
            view, self.controller.primary_label(view), width, typing=self.controller.typing
        )
        return [*self.controller.paint(view, width, height - 1), last]
