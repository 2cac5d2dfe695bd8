"""Help: every command with its key, as it is declared."""

from logger.live.controllers.controller import PageController
from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.rows import Row
from logger.live.key_bindings import listed_commands
from logger.live.pages.lists import help_page
from logger.live.state.state import Role
from logger.live.state.view import View


class HelpController(PageController):
    """The list of commands."""

    name = "help"

    def size(self) -> int:
        """Return how many commands there are."""
        role = self.context.state.role
        return len(listed_commands(replay=role is Role.REPLAY, at_board=role.owns_board))

    def primary(self) -> None:
        """Go back."""
        self.context.send(OpenPage(self.behind))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "back"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return help_page(view, self.context.options, self.chosen, width, height)
