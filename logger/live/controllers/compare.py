"""Compare: two stored turns chosen one after the other, then looked at together."""

from collections.abc import Callable

from analysis.errors import FullturnError
from analysis.store.rows import StoredTurn
from logger.live.controllers.controller import PageContext, PageController
from logger.live.drawing.rows import Row
from logger.live.pages.compare import comparison, turn_list
from logger.live.state.messages import ShowText
from logger.live.state.view import View
from logger.live.tools import turn_comparison as comparing


class CompareController(PageController):
    """The list of stored turns, and two of them overlaid."""

    name = "compare"

    def __init__(self, context: PageContext, library: Callable[[], list[StoredTurn]]) -> None:
        """``library`` gives the stored turns, newest first; raises StoreError."""
        super().__init__(context)
        self._library = library
        self._stored: list[StoredTurn] = []
        self._problem = ""
        self._first: int | None = None
        self._compared: comparing.Comparison | None = None

    def enter(self) -> None:
        """Look at what is stored."""
        self.chosen = 0
        self._first, self._compared, self._problem = None, None, ""
        try:
            self._stored = self._library()
        except FullturnError as error:
            self._stored, self._problem = [], str(error)

    def size(self) -> int:
        """Return how many turns there are to choose from."""
        return 0 if self._compared is not None else len(self._stored)

    def primary(self) -> None:
        """Take the chosen turn; the second one shows both."""
        if self._compared is not None or not self._stored:
            self.enter()
        elif self._first is None:
            self._first = self.chosen
        else:
            self._compared = comparing.compare(self._stored[self._first], self._stored[self.chosen])
            if self._compared is None:
                self.context.send(ShowText("one of the two has no curve: choose another"))
                self._first = None

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "compare two others" if self._compared else "take this turn"

    def back(self) -> bool:
        """Put the chosen turns back."""
        was = self._compared is not None or self._first is not None
        self._compared, self._first = None, None
        return was

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        options = self.context.options
        if self._compared is not None:
            return comparison(view, options, self._compared, width, height)
        return turn_list(view, options, self._stored, self.chosen, self._first, self._problem, width, height)
