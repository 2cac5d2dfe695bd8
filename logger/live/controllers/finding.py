"""Find: the list of spots, and the page that leads to one of them."""

from logger.live.controllers.controller import PageContext, PageController
from logger.live.drawing.rows import Row
from logger.live.pages.finding import finding, target_list
from logger.live.state.view import View
from logger.live.tools.spot_finder import Spot, SpotFinder, targets

HERE_BELLS = 3


class SpotListController(PageController):
    """The list of what can be found."""

    name = "targets"

    def __init__(self, table: PageContext) -> None:
        super().__init__(table)
        self.finder: SpotFinder | None = None

    def found(self) -> list[Spot]:
        """Return the spots that can be found now."""
        return targets(self.table.desk.study, self.table.setup, self.table.setup.text)

    def size(self) -> int:
        """Return how many there are."""
        return len(self.found())

    def next(self) -> None:
        """Lead to the chosen spot."""
        found, desk = self.found(), self.table.desk
        target = found[min(self.chosen, len(found) - 1)]
        self.finder = SpotFinder(target, self.table.setup, desk.tap.counts_per_turn, desk.meter.trace.way)
        self.table.go("finding")

    def next_words(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "find"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return target_list(view, self.table.look, self.found(), self.chosen, width, height)


class ApproachController(PageController):
    """Arrow, degrees and arc to go, HERE."""

    name = "finding"
    behind = "targets"

    def __init__(self, table: PageContext, listed: SpotListController) -> None:
        super().__init__(table)
        self._listed = listed
        self._rings = 0

    def next(self) -> None:
        """Choose another spot."""
        self.table.go(self.behind)

    def next_words(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "another"

    def rings(self) -> int:
        """Three bells once, at the moment of HERE."""
        wanted, self._rings = self._rings, 0
        return wanted

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        finder, going = self._listed.finder, None
        assert finder is not None
        if view.angle_deg is not None and view.live:
            going = finder.look(view.angle_deg)
            if going.arrived:
                self._rings = HERE_BELLS
        return finding(view, self.table.look, finder.target, going, width, height)
