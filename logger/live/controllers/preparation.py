"""Set-up, the 20-second check, and learning the encoder."""

from collections.abc import Callable

from analysis.angle import EncoderCalibration, calibrate_encoder
from analysis.capture import Floats
from analysis.capture.events import CheckDone, EncoderMarked
from analysis.errors import BadInput
from analysis.results import Check
from analysis.setup import FORM_FIELDS
from analysis.units import parse_length
from logger.live.controllers.controller import PageContext, PageController
from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.rows import Row
from logger.live.pages.preparation import check_page, learn_page, setup_page
from logger.live.state.intent_rules import NO_COUNTS, VIEW_ONLY, why_not_standing
from logger.live.state.messages import CheckIndicator, EnterSetup, Note, ShowText
from logger.live.state.view import View
from logger.live.tools.indicator_check_run import IndicatorCheckRun

RECENT_S = 12.0
CHECK, LEARN = "20-second check", "learn the encoder"
ACTIONS = (CHECK, LEARN)
"""What can be begun from the set-up page, above its fields."""


class SetupController(PageController):
    """The set-up, a field a line, and what can be begun from it."""

    name = "setup"

    def enter(self) -> None:
        """Begin at the first field."""
        self.chosen = len(ACTIONS)

    def size(self) -> int:
        """Return how many lines there are."""
        return len(ACTIONS) + len(FORM_FIELDS)

    def primary(self) -> None:
        """Begin an action, take the next value, or have one typed."""
        if self.chosen < len(ACTIONS):
            if not self.context.state.role.may_act:
                self.context.send(ShowText(VIEW_ONLY))
            else:
                self.context.send(OpenPage("check" if ACTIONS[self.chosen] == CHECK else "learn"))
            return
        field = FORM_FIELDS[self.chosen - len(ACTIONS)]
        if field.choices:
            self.change(1)
            return

        def take(line: str) -> None:
            self.context.send(EnterSetup({field.key: line.strip()}))

        self.context.ask(field.label, field.hint, take, field.written_in(self.context.setup.text))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        if self.chosen < len(ACTIONS):
            return "begin"
        return "next value" if FORM_FIELDS[self.chosen - len(ACTIONS)].choices else "type it"

    def change(self, step: int) -> None:
        """Take the choice before or after."""
        if self.chosen < len(ACTIONS):
            return
        field = FORM_FIELDS[self.chosen - len(ACTIONS)]
        if field.choices:
            try:
                self.context.send(EnterSetup({field.key: field.next_choice(self.context.setup.text, step)}))
            except BadInput as error:
                self.context.send(ShowText(str(error)))

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return setup_page(
            view, self.context.options, ACTIONS, self.chosen, self.primary_label(view), width, height
        )


class IndicatorCheckController(PageController):
    """The 20-second check: still, tap, lift, sense, shim."""

    name = "check"
    behind = "setup"
    run: IndicatorCheckRun

    def __init__(self, context: PageContext, recent: Callable[[float], tuple[Floats, Floats]]) -> None:
        """``recent`` gives times and readings of the new values of the last seconds."""
        super().__init__(context)
        self._recent = recent

    def enter(self) -> None:
        """Begin anew; nobody's push on the tip is taken for a button meanwhile."""
        self.run = IndicatorCheckRun(self.context.state.board.step_mm)
        self.context.send(CheckIndicator(running=True))

    def leave(self) -> None:
        """From here on jumps mean something again."""
        self.context.send(CheckIndicator(running=False))

    def tick(self) -> None:
        """Look whether the still seconds are over."""
        self._note(self.run.tick(self._recent(RECENT_S), why_not_standing(self.context.state)))

    def _note(self, check: Check | None) -> None:
        if check is not None:
            self.context.send(Note(CheckDone(check.name, check.state, check.text)))

    def primary(self) -> None:
        """Take this step as done; the last asks for the shim's thickness."""
        if self.run.over:
            self.context.send(OpenPage(self.behind))
            return
        recent = self._recent(RECENT_S)
        moves = why_not_standing(self.context.state)
        if moves or not self.run.wants_thickness:
            self._note(self.run.press(recent, moves=moves))
            return

        def take(line: str) -> None:
            thick = parse_length(line, "thickness").mm if line.strip() else None
            self._note(self.run.press(recent, thick))

        self.context.ask("Thickness of the shim", "0.5 mm, 0.02 in; empty: left out", take)

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "back to the set-up" if self.run.over else "this step"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return check_page(view, self.context.options, self.run, width, height)


class EncoderController(PageController):
    """The encoder learnt by turning by the mark."""

    name = "learn"
    behind = "setup"

    def enter(self) -> None:
        """Begin anew."""
        self.counts: list[int] = []

    def primary(self) -> None:
        """The mark stands under the tip now."""
        count = self.context.state.board.count
        if count is None:
            self.context.send(ShowText(NO_COUNTS))
            return
        if moves := why_not_standing(self.context.state):
            self.context.send(ShowText(f"{moves}: stand the mark under the tip, then SPACE"))
            return
        self.counts.append(count)
        self.context.send(Note(EncoderMarked(count)))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "mark is here"

    def calibration(self) -> tuple[EncoderCalibration | None, str]:
        """Return what the marks say so far, or why they say nothing."""
        if len(self.counts) < 3:
            return None, ""
        try:
            return calibrate_encoder(self.counts), ""
        except BadInput as error:
            return None, str(error)

    def change(self, step: int) -> None:
        """Use the calibration (right)."""
        if step < 0:
            return
        found, _ = self.calibration()
        if found is None:
            self.context.send(ShowText("at least three times first"))
            return
        calibrated = {
            "counts_per_turn": f"{found.counts_per_turn.value:.4f}",
            "u_counts_per_turn": f"{found.counts_per_turn.u:.4f}",
            "sense": f"{found.sense:+d}",
        }
        try:
            self.context.send(EnterSetup(calibrated))
        except BadInput as error:
            self.context.send(ShowText(str(error)))
            return
        self.context.send(OpenPage(self.behind))

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return learn_page(view, self.context.options, self.counts, *self.calibration(), width, height)
