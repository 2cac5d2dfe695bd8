"""Turning, and the wall view of the same: SPACE gives the last full turn its star, or takes a stop."""

from analysis.capture import AngleSource
from logger.live.controllers.controller import PageController
from logger.live.controllers.window_intents import JumpBy, SteerReplay
from logger.live.drawing.rows import Row
from logger.live.pages import turning, wall
from logger.live.state.messages import TakeTurn
from logger.live.state.state import Role
from logger.live.state.view import View


class TurningController(PageController):
    """The page one looks at while the part turns."""

    name = "turning"

    def primary(self) -> None:
        """Give the last full turn its star; take a stop, or the mark where one is wanted; pause a replay."""
        self.context.send(SteerReplay("pause") if self._replays else TakeTurn())

    def change(self, step: int) -> None:
        """Go to the turn before or after in a replay."""
        if self._replays:
            self.context.send(JumpBy(step))

    @property
    def _replays(self) -> bool:
        return self.context.state.role is Role.REPLAY

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        if view.role is Role.REPLAY:
            return "go on" if view.replaying and view.replaying.paused else "pause"
        if view.wants_mark:
            return f"the {view.setup.mark_on}'s mark is under the tip"
        if view.stop_at:
            return f"take {view.stop_at}"
        if view.source is AngleSource.NONE:
            return "nothing: no turns without an angle"
        if not view.claims.tells_numbers:
            return "nothing while no reading comes"
        if view.last is None:
            return "nothing yet: turn once round"
        return f"star turn {view.last.turn + 1}" if not view.starred else "turn has its star"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return turning.turning(view, self.context.options, width, height, self.primary_label(view))


class WallController(TurningController):
    """The wall view; it has no footer and fills the window."""

    name = "wall"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return wall.wall(view, self.context.options, width, height)
