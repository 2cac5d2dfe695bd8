"""What keys do and which page is shown: a person's whole conversation with one desk, without any screen.

A key goes in by name, rows of text come out; where a line has to be typed, ``asking`` says what for.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from analysis.errors import BadInput, FullturnError, StoreError
from analysis.learning import LearntEncoder, learn_encoder
from analysis.setup import Setup
from analysis.store.rows import StoredTurn
from analysis.units import parse_length, parse_number
from analysis.windows import parse_window
from logger.live import comparing, setups
from logger.live.checking import CheckRun
from logger.live.desk import NOT_KEPT, VIEW_ONLY, Desk
from logger.live.fields import ACTIONS, CHECK, FIELDS
from logger.live.find import Finder, Target, targets
from logger.live.lengths import OTHER_SYSTEM
from logger.live.look import LEAST_HEIGHT, LEAST_WIDTH, Look
from logger.live.orders import BY_NAME, ORDERS, KeyGate, Order, order_of
from logger.live.pages.compare import comparison, turn_list
from logger.live.pages.desk_work import check_page, learn_page, setup_page, typed_choice, typed_page
from logger.live.pages.finding import finding, target_list
from logger.live.pages.lists import help_page, numbers_page
from logger.live.pages.parts import bottom, footer, head, too_small
from logger.live.pages.turning import turning
from logger.live.pages.wall import wall
from logger.live.replaying import Replay
from logger.live.rows import Row, page
from logger.live.show_me import Number, numbers
from logger.live.typing_in import ALLOWED, TypingRun, choices
from logger.live.view import View

HERE_BELLS = 3
PLAIN_PAGES = ("turning", "setup", "compare", "numbers")


@dataclass(frozen=True)
class Asking:
    """A line that has to be typed."""

    title: str
    hint: str
    initial: str
    take: Callable[[str], None]
    """Takes the line; raises BadInput with words where it will not do."""


class Console:
    """One person's window on one desk."""

    def __init__(
        self,
        desk: Desk,
        look: Look,
        *,
        config_folder: Path,
        data_folder: Path,
        library: Callable[[], list[StoredTurn]] = list,
        replay: Replay | None = None,
    ) -> None:
        self.desk, self.look = desk, look
        self.page = "turning"
        self.locked, self.bells = False, True
        self.asking: Asking | None = None
        self.over = False
        """True once the window is to be closed."""
        self._gate = KeyGate()
        self._config, self._data = config_folder, data_folder
        self._library, self._replay = library, replay
        self._chosen = 0
        self._opened = False
        self._finder: Finder | None = None
        self._stored: list[StoredTurn] = []
        self._stored_problem = ""
        self._first: int | None = None
        self._compared: comparing.Comparison | None = None
        self._check: CheckRun | None = None
        self._learnt: list[int] = []
        self._typing: TypingRun | None = None
        self._typed: View | None = None
        self._rings: list[int] = []
        self._footer: list[tuple[int, int, str]] = []

    # --- in -------------------------------------------------------------------------------------------

    def key(self, key: str, now_s: float) -> None:
        """Take a key by its name; one that is held counts once."""
        typing = self.page == "typed" and self._typing is not None and not self._typing.over
        if typing and self._typing_key(key):
            return
        order = order_of(key)
        counted = self._gate.passes(key, now_s)
        if order is not None and counted:
            self.do(order.name)

    def do(self, name: str) -> None:
        """Do a command by its name, whoever asks: a key, a click, the palette, the board's button."""
        if self.locked and name not in ("lock", "quit"):
            return
        order = BY_NAME[name]
        if order.replay_only:
            self._steer_replay(order)
        elif name in PLAIN_PAGES:
            self._go(name)
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
            self.do("next")
        if self._check is not None and self.page == "check":
            told = self._check.tick(self.desk.meter.recent(12.0))
            if told is not None:
                self.desk.note_check(told)

    def ring(self) -> int:
        """Return how many bells are to be rung now, and forget them."""
        wanted = max(self._rings, default=0) if self.bells else 0
        self._rings.clear()
        return wanted

    # --- pages ----------------------------------------------------------------------------------------

    def _go(self, name: str) -> None:
        self.page, self._chosen, self._opened = name, 0, False
        if name == "compare":
            self._load_library()
        if name == "setup":
            self._chosen = len(ACTIONS)

    def _do_back(self) -> None:
        if self.page == "numbers" and self._opened:
            self._opened = False
        elif self.page in ("check", "learn"):
            self.desk.checking = False
            self._go("setup")
        elif self.page == "finding":
            self._do_find()
        elif self.page == "compare" and (self._compared or self._first is not None):
            self._compared, self._first = None, None
        else:
            self._typing = None
            self._go("turning")

    def _do_up(self) -> None:
        self._move(-1)

    def _do_down(self) -> None:
        self._move(1)

    def _move(self, step: int) -> None:
        size = self._list_size()
        if size:
            self._chosen = (self._chosen + step) % size

    def _list_size(self) -> int:
        sizes: dict[str, Callable[[], int]] = {
            "setup": lambda: len(ACTIONS) + len(FIELDS),
            "numbers": lambda: len(self._numbers()),
            "targets": lambda: len(self._targets()),
            "compare": lambda: len(self._stored),
            "typed": lambda: len(choices(self._setup)),
            "help": lambda: len(ORDERS),
        }
        return sizes[self.page]() if self.page in sizes else 0

    def _do_left(self) -> None:
        self._change_choice(-1)

    def _do_right(self) -> None:
        if self.page == "learn":
            self._use_learnt()
        else:
            self._change_choice(1)

    def _do_next(self) -> None:
        steps: dict[str, Callable[[], None]] = {
            "turning": self.desk.star,
            "wall": self.desk.star,
            "setup": self._setup_line,
            "numbers": self._open_number,
            "targets": self._choose_target,
            "finding": self._do_find,
            "compare": self._choose_turn,
            "check": self._check_press,
            "learn": self._learn_press,
            "typed": self._typed_next,
            "help": self._do_back,
        }
        steps[self.page]()

    def next_words(self, view: View) -> str:
        """Return what SPACE will do next."""
        if self.page in ("turning", "wall"):
            if view.last is None:
                return "nothing yet: turn once round"
            return f"star turn {view.last.turn + 1}" if not view.starred else "turn has its star"
        words = {
            "setup": "change",
            "numbers": "close" if self._opened else "show me",
            "targets": "find",
            "finding": "another",
            "compare": "compare two others" if self._compared else "take this turn",
            "check": "this step",
            "learn": "mark is here",
            "typed": "next",
            "help": "back",
        }
        return words[self.page]

    # --- commands -------------------------------------------------------------------------------------

    @property
    def _setup(self) -> Setup:
        return self.desk.session.setup

    def _do_mark(self) -> None:
        self.desk.mark("part")

    def _do_arbor(self) -> None:
        self.desk.mark("arbor")

    def _do_zero(self) -> None:
        self.desk.zero()

    def _do_clear(self) -> None:
        self.desk.clear_ends()

    def _do_undo(self) -> None:
        self.desk.undo()

    def _do_units(self) -> None:
        self.look = replace(self.look, unit=OTHER_SYSTEM[self.look.unit])

    def _do_bells(self) -> None:
        self.bells = not self.bells
        self.desk.say("bells on" if self.bells else "bells off")

    def _do_lock(self) -> None:
        self.locked = not self.locked
        if not self.locked:
            self.desk.say("keys unlocked")

    def _do_wall(self) -> None:
        self._go("turning" if self.page == "wall" else "wall")

    def _do_help(self) -> None:
        self._go("turning" if self.page == "help" else "help")

    def _do_round(self) -> None:
        self.look = replace(self.look, round=not self.look.round)

    def _do_light(self) -> None:
        self.look = replace(self.look, light=not self.look.light)

    def _do_thick(self) -> None:
        self.look = replace(self.look, thick=not self.look.thick)

    def _do_quit(self) -> None:
        if self.desk.named is None or self.desk.ended:
            self.over = True
            return
        self.asking = Asking(
            f"{self.desk.named.name} is being recorded: end it?", "y = end, n = go on", "", self._end
        )

    def _end(self, line: str) -> None:
        if line.strip().lower() in ("y", "yes"):
            self.over = True

    def _do_name(self) -> None:
        if self.desk.recorder is None:
            self.desk.say(VIEW_ONLY if self.desk.kind == "follow" else "a replay: it has a name already")
            return

        def take(line: str) -> None:
            self.desk.name_recording(line, self._data)

        hint = "letters, digits, - and _; unnamed recordings are kept for 14 days"
        self.asking = Asking("Name of this recording", hint, "", take)

    def _do_leave_out(self) -> None:
        if self.desk.kind == "follow":
            self.desk.say(VIEW_ONLY)
            return

        def take(line: str) -> None:
            words = line.strip()
            if not words:
                raise BadInput("a reason is needed: nothing is left out without one")
            if "=" in words:
                window = parse_window(words)
                self.desk.leave_window_out(window.start_deg, window.end_deg, window.reason)
            else:
                self.desk.leave_turn_out(words)

        hint = "why, for the last full turn; or a window: 40:52=keyway"
        self.asking = Asking("Leave out, and why", hint, "", take)

    def _steer_replay(self, order: Order) -> None:
        if self._replay is None:
            self.desk.say(f"{order.label}: only in a replay")
        elif order.name == "jump":

            def take(line: str) -> None:
                self._replay_to(int(parse_number(line, "turn")))

            many = self._replay.turns
            self.asking = Asking("Jump to the start of which turn?", f"1 to {many}", "", take)
        else:
            getattr(self._replay, order.name)()

    def _replay_to(self, turn: int) -> None:
        assert self._replay is not None
        self.desk = self._replay.jump(turn, self.desk)

    # --- find -----------------------------------------------------------------------------------------

    def _targets(self) -> list[Target]:
        return targets(self.desk.study, self._setup, self._setup.text)

    def _do_find(self) -> None:
        self._finder = None
        self._go("targets")

    def _choose_target(self) -> None:
        found = self._targets()
        target = found[min(self._chosen, len(found) - 1)]
        self._finder = Finder(target, self._setup, self.desk.tap.counts_per_turn, self.desk.meter.trace.way)
        self.page = "finding"

    # --- set-up ---------------------------------------------------------------------------------------

    def _setup_line(self) -> None:
        if self._chosen < len(ACTIONS):
            self._begin(ACTIONS[self._chosen])
            return
        field = FIELDS[self._chosen - len(ACTIONS)]
        if field.choices:
            self._change_choice(1)
            return

        def take(line: str) -> None:
            self._change({field.key: line.strip()})

        self.asking = Asking(field.label, field.hint, field.value(self._setup), take)

    def _change_choice(self, step: int) -> None:
        if self.page != "setup" or self._chosen < len(ACTIONS):
            return
        field = FIELDS[self._chosen - len(ACTIONS)]
        if field.choices:
            try:
                self._change({field.key: field.next_value(self._setup, step)})
            except BadInput as error:
                self.desk.say(str(error))

    def _change(self, changes: dict[str, str]) -> None:
        """Change the set-up and keep it; a part named anew brings what was kept of it."""
        name = changes.get("part")
        if name and name != self._setup.part:
            changes = {**setups.read(setups.file_of(self._config, "part", name)), **changes}
        self.desk.change_setup(changes)
        if self.desk.kind == "replay":
            self.desk.say(NOT_KEPT)
            return
        text = {**self._setup.text, **changes}
        setups.keep(self._config, self.desk.board_name, {k: v for k, v in text.items() if v})
        self.desk.say("kept for this board and this part")

    def _begin(self, action: str) -> None:
        if self.desk.kind == "follow":
            self.desk.say(VIEW_ONLY)
        elif action == CHECK:
            self._check = CheckRun(self.desk.tap.resolution_mm)
            self.desk.checking = True
            self.page = "check"
        else:
            self._learnt = []
            self.page = "learn"

    def _check_press(self) -> None:
        run = self._check
        if run is None or run.over:
            self._do_back()
            return
        recent = self.desk.meter.recent(12.0)
        if run.wants_thickness:

            def take(line: str) -> None:
                thick = parse_length(line, "thickness").mm if line.strip() else None
                told = run.press(recent, thick)
                if told is not None:
                    self.desk.note_check(told)

            hint = "0.5 mm, 0.02 in; empty: left out"
            self.asking = Asking("Thickness of the shim", hint, "", take)
            return
        told = run.press(recent)
        if told is not None:
            self.desk.note_check(told)

    def _learn_press(self) -> None:
        count = self.desk.tap.count
        if count is None:
            self.desk.say("no counts yet: is the encoder connected?")
            return
        self._learnt.append(count)
        self.desk.note_plain({"event": "learn", "count": count})

    def _learnt_so_far(self) -> tuple[LearntEncoder | None, str]:
        if len(self._learnt) < 3:
            return None, ""
        try:
            return learn_encoder(self._learnt), ""
        except BadInput as error:
            return None, str(error)

    def _use_learnt(self) -> None:
        told, _ = self._learnt_so_far()
        if told is None:
            self.desk.say("at least three times first")
            return
        try:
            self._change(
                {
                    "counts_per_turn": f"{told.counts_per_turn:.4f}",
                    "u_counts_per_turn": f"{told.u_counts_per_turn:.4f}",
                    "sense": f"{told.sense:+d}",
                }
            )
        except BadInput as error:
            self.desk.say(str(error))
            return
        self._go("setup")

    # --- numbers, compare, typed ----------------------------------------------------------------------

    def _numbers(self) -> list[Number]:
        return numbers(self.desk.study, self.look.unit)

    def _open_number(self) -> None:
        self._opened = bool(self._numbers()) and not self._opened

    def _load_library(self) -> None:
        self._first, self._compared, self._stored_problem = None, None, ""
        try:
            self._stored = self._library()
        except (StoreError, FullturnError) as error:
            self._stored, self._stored_problem = [], str(error)

    def _choose_turn(self) -> None:
        if self._compared is not None or not self._stored:
            self._load_library()
        elif self._first is None:
            self._first = self._chosen
        else:
            self._compared = comparing.compare(self._stored[self._first], self._stored[self._chosen])
            if self._compared is None:
                self.desk.say("one of the two has no curve: choose another")
                self._first = None

    def _do_typed(self) -> None:
        self._typing, self._typed = None, None
        self._go("typed")

    def _typed_next(self) -> None:
        if self._typing is None:
            _, deg = choices(self._setup)[self._chosen]
            self._typing = TypingRun(deg, self.look.unit)
        elif self._typing.over:
            self._do_back()

    def _typing_key(self, key: str) -> bool:
        """Take a key while a reading is being typed; False where it is none of its."""
        run = self._typing
        assert run is not None
        names = {"full_stop": ".", "comma": ",", "minus": "-", "plus": "+", "hyphen_minus": "-"}
        character = names.get(key, key)
        if character in ("enter", "space", "pagedown"):
            run.enter()
            if run.over:
                told = run.study(self._setup)
                self._typed = replace(self.desk.view(), study=told)
        elif character in ("backspace", "delete"):
            run.rub_out()
        elif len(character) == 1 and character in ALLOWED:
            run.key(character)
        else:
            return False
        return True

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
        if width < LEAST_WIDTH or height < LEAST_HEIGHT:
            self._footer = []
            return page(too_small(width, height), width, height)
        view = self.view()
        words = self.next_words(view)
        if self.page == "wall":
            self._footer = []
            return wall(view, self.look, width, height)
        last, self._footer = footer(view, words, width)
        return [*self._page(view, words, width, height - 1), last]

    def _page(self, view: View, words: str, width: int, height: int) -> list[Row]:
        look, size = self.look, (width, height)
        if self.page == "setup":
            return setup_page(view, look, self._chosen, *size)
        if self.page == "numbers":
            found = self._numbers()
            self._chosen = min(self._chosen, max(0, len(found) - 1))
            return numbers_page(view, look, found, self._chosen, self._opened, *size)
        if self.page == "targets":
            return target_list(view, look, self._targets(), self._chosen, *size)
        if self.page == "finding":
            return self._finding(view, *size)
        if self.page == "compare":
            if self._compared is not None:
                return comparison(view, look, self._compared, *size)
            found_turns: Sequence[StoredTurn] = self._stored
            return turn_list(view, look, found_turns, self._chosen, self._first, self._stored_problem, *size)
        if self.page == "check" and self._check is not None:
            return check_page(view, look, self._check, *size)
        if self.page == "learn":
            return learn_page(view, look, self._learnt, *self._learnt_so_far(), *size)
        if self.page == "typed":
            if self._typing is None:
                names = [name for name, _ in choices(self._setup)]
                return typed_choice(view, look, names, self._chosen, *size)
            return typed_page(view, look, self._typing, self._typed, *size)
        if self.page == "help":
            return help_page(view, look, self._chosen, *size)
        return turning(view, look, width, height, words)

    def _finding(self, view: View, width: int, height: int) -> list[Row]:
        assert self._finder is not None
        going = None
        if view.angle_deg is not None and view.live:
            going = self._finder.look(view.angle_deg)
            if going.arrived:
                self._rings.append(HERE_BELLS)
        return finding(view, self.look, self._finder.target, going, width, height)


__all__ = ["Asking", "Console", "bottom", "head"]
