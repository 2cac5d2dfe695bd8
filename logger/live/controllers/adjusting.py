"""Screws: dialling in by screws, jaws or shims, one after the other."""

import math

from analysis.correction import adjust
from analysis.errors import BadInput
from analysis.setup import MarkSide, Surface
from analysis.units import parse_length
from logger.live.controllers.controller import PageContext, PageController
from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.rows import Row
from logger.live.pages.adjusting import adjusting_page
from logger.live.state.intent_rules import why_not_standing
from logger.live.state.messages import ShowText
from logger.live.state.state import LiveState
from logger.live.state.view import View
from logger.live.tools.adjusting import AdjustmentGuide, angles_of, typed_angles
from logger.live.tools.spot_finder import Approach, Spot, SpotFinder

TYPE_THEM = "No screws in the set-up: SPACE asks where they stand, in degrees past the part's mark."


class AdjustingController(PageController):
    """The page that leads from screw to screw."""

    name = "screws"

    def __init__(self, context: PageContext) -> None:
        super().__init__(context)
        self._run: AdjustmentGuide | None = None
        self._angles: tuple[float, ...] = ()
        self._radius_mm: float | None = None
        self._problem = ""
        self._finder: SpotFinder | None = None

    def enter(self) -> None:
        """Begin with the screws of the set-up, else its holes, and the sweep so far."""
        self._angles = angles_of(self.context.setup)
        self._begin()

    def _begin(self) -> None:
        self._run, self._finder, self._problem = None, None, ""
        analysis, setup = self.context.state.analysis, self.context.setup
        if analysis is None or analysis.result is None:
            self._problem = "No sweep yet: turn once right round, then the moves are known."
        elif setup.mark_on != MarkSide.PART:
            self._problem = "Angles count from the arbor's mark here: screws need the part's mark."
        elif not self._angles:
            self._problem = TYPE_THEM
        elif setup.surface == Surface.FACE and self._radius_mm is None:
            self._problem = "A face: SPACE asks for the radius the screws or shims sit at."
        else:
            try:
                found = adjust(
                    analysis.result,
                    self._angles,
                    surface=setup.surface,
                    screw_radius_mm=self._radius_mm,
                    track_radius_mm=setup.track_radius_mm,
                )
            except BadInput as error:
                self._problem = str(error)
                return
            self._run = AdjustmentGuide(found, setup.surface, self.context.state.board.step_mm)
            self._aim()

    def _aim(self) -> None:
        state, run = self.context.state, self._run
        assert run is not None
        spot = Spot(f"screw {run.at + 1}", run.move.deg)
        self._finder = SpotFinder(
            spot,
            self.context.setup,
            state.board.counts_per_turn,
            state.reading.direction,
        )

    def move(self, step: int) -> None:
        """Take another screw."""
        if self._run is not None and not self._run.over:
            self._run.choose(step)
            self._aim()

    def primary(self) -> None:
        """Stand at the screw, or take its move as done; or ask for what is missing."""
        run = self._run
        if run is None:
            self._ask()
        elif run.over:
            self.context.send(OpenPage("turning"))
        elif why := self._why_not(run):
            self.context.send(ShowText(why))
        else:
            run.press(self.context.state.reading.reading_mm)
            self._aim()

    def _why_not(self, run: AdjustmentGuide) -> str:
        """Return why a press cannot count at this screw now; a shim under a face is put in anywhere."""
        if not run.shows_readings:
            return ""
        state, screw = self.context.state, f"screw {run.at + 1}"
        if moves := why_not_standing(state):
            return f"{moves}: stand {screw} under the tip, then SPACE"
        if self._is_near(state):
            return ""
        return f"the tip is not at {screw}: turn the part there and stand, then SPACE"

    def _is_near(self, state: LiveState) -> bool:
        """Tell whether the tip is at the screw; where no angle is known, only the person can tell."""
        if self._finder is None or state.reading.angle_rad is None:
            return not state.board.counts_per_turn
        return self._finder.is_near(math.degrees(state.reading.angle_rad))

    def _ask(self) -> None:
        if self.context.state.analysis is None:
            self.enter()
        elif not self._angles:
            self._ask_angles()
        elif self.context.setup.surface == Surface.FACE:

            def take_radius(line: str) -> None:
                self._radius_mm = parse_length(line, "radius of the screws").mm
                self._begin()

            self.context.ask("At which radius do the shims sit?", "95 mm, 3.75 in", take_radius)

    def _ask_angles(self) -> None:
        def take(line: str) -> None:
            self._angles = typed_angles(line)
            self._begin()

        self.context.ask("Where do the screws stand?", "degrees past the part's mark: 0,120,240", take)

    def command(self, name: str) -> bool:
        """Type other angles (E)."""
        if name != "enter":
            return False
        self._ask_angles()
        return True

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        run = self._run
        if run is None:
            return "look again" if self.context.state.analysis is None else "type it"
        if run.over:
            return "sweep again"
        if run.shows_readings:
            state = self.context.state
            if why_not_standing(state) or not self._is_near(state):
                return f"nothing yet: stand screw {run.at + 1} under the tip"
            if run.start_mm is None:
                return f"at screw {run.at + 1}"
        return "done, the next"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        approach: Approach | None = None
        if self._finder is not None and view.angle_deg is not None and view.live:
            approach = self._finder.approach(view.angle_deg)
        words = self.primary_label(view)
        return adjusting_page(
            view, self.context.options, self._run, approach, self._problem, words, width, height
        )
