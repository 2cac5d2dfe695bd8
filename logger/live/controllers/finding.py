"""Find: the list of spots, and the page that leads to one of them."""

from logger.live.controllers.controller import PageContext, PageController
from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.rows import Row
from logger.live.pages.finding import finding, spot_list
from logger.live.state.view import View
from logger.live.tools.spot_finder import Spot, SpotFinder, spots

HERE_BELLS = 3


class SpotListController(PageController):
    """The list of what can be found."""

    name = "spots"

    def __init__(self, context: PageContext) -> None:
        super().__init__(context)
        self.finder: SpotFinder | None = None

    def found(self) -> list[Spot]:
        """Return the spots that can be found now."""
        return spots(self.context.state.analysis, self.context.setup)

    def size(self) -> int:
        """Return how many there are."""
        return len(self.found())

    def primary(self) -> None:
        """Lead to the chosen spot."""
        found, state = self.found(), self.context.state
        spot = found[min(self.chosen, len(found) - 1)]
        self.finder = SpotFinder(
            spot,
            self.context.setup,
            state.board.counts_per_turn,
            state.reading.direction,
        )
        self.context.send(OpenPage("finding"))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "find"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return spot_list(view, self.context.options, self.found(), self.chosen, width, height)


class ApproachController(PageController):
    """Arrow, degrees and arc to go, HERE."""

    name = "finding"
    behind = "spots"

    def __init__(self, context: PageContext, listed: SpotListController) -> None:
        super().__init__(context)
        self._listed = listed
        self._bells_due = 0

    def primary(self) -> None:
        """Choose another spot."""
        self.context.send(OpenPage(self.behind))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "another"

    def bells_due(self) -> int:
        """Three bells once, at the moment of HERE."""
        wanted, self._bells_due = self._bells_due, 0
        return wanted

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        finder, approach = self._listed.finder, None
        assert finder is not None
        if view.angle_deg is not None and view.live:
            approach = finder.approach(view.angle_deg)
            if approach.arrived:
                self._bells_due = HERE_BELLS
        return finding(view, self.context.options, finder.spot, approach, width, height)
