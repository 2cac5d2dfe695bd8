"""Help: what the keys do where it was opened, all other keys, and what the words mean."""

from collections.abc import Mapping

from logger.live.controllers.controller import PageContext, PageController
from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.rows import Row
from logger.live.pages.help import PAGES, help_page
from logger.live.state.view import View


class HelpController(PageController):
    """Three pages, one after the other by SPACE."""

    name = "help"

    def __init__(self, context: PageContext, pages: Mapping[str, PageController]) -> None:
        """``pages``: every page by its name, for what SPACE does there."""
        super().__init__(context)
        self._pages = pages

    def size(self) -> int:
        """Return how many pages there are."""
        return PAGES

    def primary(self) -> None:
        """Go on to the next page, after the last one back."""
        if self.chosen + 1 < PAGES:
            self.chosen += 1
        else:
            self.context.send(OpenPage(self.behind))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        del view
        return f"more ({self.chosen + 1} of {PAGES})" if self.chosen + 1 < PAGES else "back"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        label = self._pages[self.behind].primary_label(view)
        return help_page(view, self.context.options, self.behind, label, self.chosen, width, height)
