"""Set-up, the 20-second check, and learning the encoder."""

from analysis.angle import EncoderCalibration, calibrate_encoder
from analysis.capture.events import EncoderMarked
from analysis.errors import BadInput
from analysis.results import Check
from analysis.setup import FORM_FIELDS
from analysis.units import parse_length
from logger.live.controllers.controller import PageContext, PageController
from logger.live.drawing.rows import Row
from logger.live.pages.preparation import check_page, learn_page, setup_page
from logger.live.state.actions import VIEW_ONLY
from logger.live.state.runtime import NOT_KEPT
from logger.live.state.view import View
from logger.live.tools.indicator_check_run import IndicatorCheckRun
from logger.settings import saved_setups as setups

RECENT_S = 12.0
CHECK, LEARN = "20-second check", "learn the encoder"
ACTIONS = (CHECK, LEARN)
"""What can be begun from the set-up page, above its fields."""


class SetupController(PageController):
    """The set-up, a field a line, and what can be begun from it."""

    name = "setup"
    direct = True

    def enter(self) -> None:
        """Begin at the first field."""
        self.chosen = len(ACTIONS)

    def size(self) -> int:
        """Return how many lines there are."""
        return len(ACTIONS) + len(FORM_FIELDS)

    def primary(self) -> None:
        """Begin an action, take the next value, or have one typed."""
        if self.chosen < len(ACTIONS):
            if self.context.runtime.kind == "follow":
                self.context.runtime.say(VIEW_ONLY)
            else:
                self.context.go("check" if ACTIONS[self.chosen] == CHECK else "learn")
            return
        field = FORM_FIELDS[self.chosen - len(ACTIONS)]
        if field.choices:
            self.change(1)
            return

        def take(line: str) -> None:
            change_setup(self.context, {field.key: line.strip()})

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
                change_setup(self.context, {field.key: field.next_choice(self.context.setup.text, step)})
            except BadInput as error:
                self.context.runtime.say(str(error))

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return setup_page(
            view, self.context.options, ACTIONS, self.chosen, self.primary_label(view), width, height
        )


def change_setup(context: PageContext, changes: dict[str, str]) -> None:
    """Change the set-up and keep it; a part named anew brings what was kept of it. Raises BadInput."""
    runtime = context.runtime
    name = changes.get("part")
    if name and name != context.setup.part:
        changes = {**setups.read(setups.file_of(context.config_folder, "part", name)), **changes}
    runtime.change_setup(changes)
    if runtime.kind == "replay":
        runtime.say(NOT_KEPT)
        return
    text = {**context.setup.text, **changes}
    setups.keep(context.config_folder, runtime.board_name, {k: v for k, v in text.items() if v})
    runtime.say("kept for this board and this part")


class IndicatorCheckController(PageController):
    """The 20-second check: still, tap, lift, sense, shim."""

    name = "check"
    behind = "setup"
    run: IndicatorCheckRun

    def enter(self) -> None:
        """Begin anew; nobody's push on the tip is taken for a button meanwhile."""
        self.run = IndicatorCheckRun(self.context.runtime.session_tap.resolution_mm)
        self.context.runtime.checking = True

    def leave(self) -> None:
        """From here on jumps mean something again."""
        self.context.runtime.checking = False

    def tick(self) -> None:
        """Look whether the still seconds are over."""
        self._note(self.run.tick(self.context.runtime.readout.recent(RECENT_S)))

    def _note(self, check: Check | None) -> None:
        if check is not None:
            self.context.runtime.note_check(check)

    def primary(self) -> None:
        """Take this step as done; the last asks for the shim's thickness."""
        if self.run.over:
            self.context.go(self.behind)
            return
        recent = self.context.runtime.readout.recent(RECENT_S)
        if not self.run.wants_thickness:
            self._note(self.run.press(recent))
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
        runtime = self.context.runtime
        count = runtime.session_tap.count
        if count is None:
            runtime.say("no counts yet: is the encoder connected?")
            return
        self.counts.append(count)
        runtime.note_plain(EncoderMarked(count))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "mark is here"

    def check(self) -> tuple[EncoderCalibration | None, str]:
        """Return what the marks say so far, or why they say nothing."""
        if len(self.counts) < 3:
            return None, ""
        try:
            return calibrate_encoder(self.counts), ""
        except BadInput as error:
            return None, str(error)

    def change(self, step: int) -> None:
        """Use what was learnt (right)."""
        if step < 0:
            return
        check, _ = self.check()
        if check is None:
            self.context.runtime.say("at least three times first")
            return
        learnt = {
            "counts_per_turn": f"{check.counts_per_turn.value:.4f}",
            "u_counts_per_turn": f"{check.counts_per_turn.u:.4f}",
            "sense": f"{check.sense:+d}",
        }
        try:
            change_setup(self.context, learnt)
        except BadInput as error:
            self.context.runtime.say(str(error))
            return
        self.context.go(self.behind)

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return learn_page(view, self.context.options, self.counts, *self.check(), width, height)
