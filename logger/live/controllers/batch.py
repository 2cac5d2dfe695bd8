"""Batch: a line that is typed or scanned names a part, SPACE begins it.

Every letter goes to that line, for a scanner types: none is a command here. Esc and the keys of functions
lead to other pages.
"""

from logger.live.batch.batch_guide import BatchGuide
from logger.live.controllers.controller import PageContext, PageController
from logger.live.drawing.rows import Row
from logger.live.pages.batch import batch_page
from logger.live.state.messages import ShowText
from logger.live.state.view import View

_RUB_OUT = ("backspace", "delete")
LONGEST = 80
"""Letters that a line takes."""


class BatchController(PageController):
    """Many parts of one kind, one after another."""

    name = "batch"

    def __init__(self, context: PageContext, guide: BatchGuide) -> None:
        super().__init__(context)
        self._guide = guide
        self.line = ""
        """What is being typed."""
        self._scrolled = 0

    def enter(self) -> None:
        """Look up the job."""
        self.line, self._scrolled = "", 0
        self._guide.open()

    def move(self, step: int) -> None:
        """Scroll the table of parts."""
        parts = len(self._guide.batch.parts) if self._guide.batch else 0
        self._scrolled = max(0, min(parts - 1, self._scrolled - step))

    def primary(self) -> None:
        """Begin the part that is named."""
        if self.line:
            self.context.send(ShowText("a line is being typed: end it with Enter, or put it away with Esc"))
            return
        self._scrolled = 0
        self._guide.primary()

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "a blank in the line" if self.line else self._guide.label

    @property
    def typing(self) -> bool:
        """No letter is a command on this page."""
        return True

    def back(self) -> bool:
        """Put the line away; False where there is none."""
        had, self.line = bool(self.line), ""
        return had

    def takes(self, key: str) -> bool:
        """Take letters, and what ends or mends a line."""
        if key == "enter" and self.line:
            line, self.line = self.line, ""
            self._guide.typed(line)
            return True
        if key in _RUB_OUT:
            self.line = self.line[:-1]
            return True
        if key == "space" and self.line:
            key = " "
        if len(key) != 1 or (key == " " and not self.line):
            return False
        self.line = (self.line + key)[:LONGEST]
        return True

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        label = self.primary_label(view)
        return batch_page(
            view, self.context.options, self._guide, self.line, label, self._scrolled, width, height
        )
