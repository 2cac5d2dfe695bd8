"""Turning, and the wall view of the same: SPACE gives the last full turn its star."""

from logger.live.pages import turning, wall
from logger.live.rows import Row
from logger.live.talks.talk import Talk
from logger.live.view import View


class Turning(Talk):
    """The page one looks at while the part turns."""

    name = "turning"
    direct = True

    def next(self) -> None:
        """Give the last full turn its star."""
        self.table.desk.acts.star()

    def next_words(self, view: View) -> str:
        """Return what SPACE will do next."""
        if view.last is None:
            return "nothing yet: turn once round"
        return f"star turn {view.last.turn + 1}" if not view.starred else "turn has its star"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return turning.turning(view, self.table.look, width, height, self.next_words(view))


class Wall(Turning):
    """The wall view; it has no footer and fills the window."""

    name = "wall"
    direct = False

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return wall.wall(view, self.table.look, width, height)
