"""Prompted typing: how many places, then a reading at each on the number pad."""

from analysis.capture.events import ReadingsTyped
from logger.live.controllers.controller import PageContext, PageController
from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.rows import Row
from logger.live.pages.preparation import typed_choice, typed_page
from logger.live.state.messages import Note
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.view import View
from logger.live.tools.typed_entry import ALLOWED, TypedEntry, choices

_CHARACTERS = {
    "full_stop": ".", "decimal": ".", "comma": ",", "separator": ",", "minus": "-", "hyphen_minus": "-",
    "subtract": "-", "plus": "+", "add": "+",
}  # fmt: skip
"""What the keys of letters and of the number pad are called, and what they write."""
_TAKE = ("enter", "space", "pagedown")
_RUB_OUT = ("backspace", "delete")


class TypedReadingsController(PageController):
    """Readings of a dial, place after place."""

    name = "typed"

    def __init__(self, context: PageContext) -> None:
        super().__init__(context)
        self._run: TypedEntry | None = None
        self._analysed: SweepSoFar | None = None

    def enter(self) -> None:
        """Ask for the number of places."""
        self.chosen, self._run, self._analysed = 0, None, None

    def size(self) -> int:
        """Return how many sets of places there are."""
        return len(choices(self.context.setup)) if self._run is None else 0

    def primary(self) -> None:
        """Begin, or close what is done."""
        if self._run is None:
            _, deg = choices(self.context.setup)[self.chosen]
            self._run = TypedEntry(deg, self.context.options.unit)
        elif self._run.over:
            self.context.send(OpenPage(self.behind))
        else:
            self._take()

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        if self._run is None:
            return "begin"
        return "close" if self._run.over else "take this reading"

    @property
    def typing(self) -> bool:
        """Tell whether a reading is being typed."""
        return self._run is not None and not self._run.over

    def takes(self, key: str) -> bool:
        """Take every key but Esc while a reading is being typed: no letter is a command then."""
        run = self._run
        if run is None or not self.typing or key == "escape":
            return False
        character = _CHARACTERS.get(key, key)
        if character in _TAKE:
            self._take()
        elif character in _RUB_OUT:
            run.rub_out()
        elif len(character) == 1 and character in ALLOWED:
            run.key(character)
        return True

    def _take(self) -> None:
        """Take the number as typed; after the last place say what all of them give, and have it recorded."""
        run = self._run
        assert run is not None
        run.enter()
        if run.over:
            self._analysed = run.analysed(self.context.setup)
            if self.context.state.role.may_act:
                self.context.send(Note(ReadingsTyped(run.as_written())))

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        options = self.context.options
        if self._run is None:
            names = [name for name, _ in choices(self.context.setup)]
            return typed_choice(view, options, names, self.chosen, width, height)
        return typed_page(view, options, self._run, self._analysed, width, height)
