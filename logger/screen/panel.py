"""One widget that paints rows of text by their roles, and of each row only the cells that have changed."""

from collections.abc import Callable, Sequence

from rich.segment import Segment
from textual import events
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from logger.live.drawing.rows import Row, changed_cells
from logger.screen.colours import Colours


class Panel(Widget, can_focus=True):
    """The whole window. ``show`` paints rows; ``clicked`` is told where the last line was clicked."""

    DEFAULT_CSS = "Panel { width: 100%; height: 100%; }"

    def __init__(self, colours: Colours, clicked: Callable[[int], None]) -> None:
        super().__init__()
        self._colours = colours
        self._clicked = clicked
        self.rows: list[Row] = []
        """What is shown, for whoever wants to read it as text."""
        self.painted = 0
        """Lines painted so far."""

    def show(self, rows: Sequence[Row]) -> None:
        """Paint these rows; cells that are as they were are left alone, for a line may be slow."""
        before, self.rows = self.rows, list(rows)
        if len(before) != len(self.rows):
            self.refresh()
            return
        changed = [
            Region(cells[0], y, cells[1] - cells[0], 1)
            for y, (old, new) in enumerate(zip(before, self.rows, strict=True))
            if (cells := changed_cells(old, new)) is not None
        ]
        if changed:
            self.painted += len(changed)
            self.refresh(*changed)

    def recolour(self, colours: Colours) -> None:
        """Paint everything anew in other colours."""
        self._colours = colours
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return one line; every piece has a style, also where there are no colours."""
        style_of = self._colours.style_of
        if y >= len(self.rows):
            return Strip([Segment(" " * self.size.width, style_of("plain"))], self.size.width)
        segments = [Segment(text, style_of(role)) for text, role in self.rows[y]]
        return Strip(segments, self.size.width).adjust_cell_length(self.size.width, style_of("plain"))

    def on_click(self, event: events.Click) -> None:
        """Take a knuckle on the footer."""
        if event.y == self.size.height - 1:
            self._clicked(event.x)
