"""Numbers: each opens into its formula with this sweep's values."""

from logger.live.controllers.controller import PageController
from logger.live.drawing.rows import Row
from logger.live.explain.formula import ExplainedNumber
from logger.live.explain.sweep_numbers import numbers
from logger.live.pages.numbers import numbers_page
from logger.live.state.view import View


class NumbersController(PageController):
    """The list of numbers; one may be open."""

    name = "numbers"
    opened = False

    def enter(self) -> None:
        """Begin at the top, nothing open."""
        self.chosen, self.opened = 0, False

    def _found(self) -> list[ExplainedNumber]:
        return numbers(self.context.state.analysis, self.context.options.unit)

    def size(self) -> int:
        """Return how many numbers there are."""
        return len(self._found())

    def primary(self) -> None:
        """Open the chosen number into its formula, or close it."""
        self.opened = bool(self._found()) and not self.opened

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "close" if self.opened else "show me"

    def back(self) -> bool:
        """Close the formula."""
        was, self.opened = self.opened, False
        return was

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        found = self._found()
        self.chosen = min(self.chosen, max(0, len(found) - 1))
        return numbers_page(view, self.context.options, found, self.chosen, self.opened, width, height)
