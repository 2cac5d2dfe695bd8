"""Steps: SPACE walks the job; Owner: whose error it is, from the job's sweeps."""

from collections.abc import Mapping

from analysis.errors import FullturnError
from logger.job import Job
from logger.live.controllers.controller import PageContext, PageController
from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.rows import Row
from logger.live.job.guide import JobGuide
from logger.live.job.guide_messages import (
    Again,
    Another,
    BeginAnew,
    EnterLength,
    GuideMessage,
    Press,
    Skip,
    StepBack,
)
from logger.live.job.guide_state import GuidePhase
from logger.live.job.next_action import primary_label
from logger.live.pages.owner import owner_page
from logger.live.pages.step_result import VALUE_NAMES
from logger.live.pages.steps import jobs_page, steps_page
from logger.live.state.messages import EnterSetup, ShowText
from logger.live.state.view import View
from logger.studies import CARD_LENGTHS

MESSAGES: Mapping[str, GuideMessage] = {
    "step-back": StepBack(),
    "skip": Skip(),
    "again": Again(),
    "another": Another(),
}
"""What each command of Steps is to the guide."""


class StepsController(PageController):
    """The guided job."""

    name = "steps"

    def __init__(self, context: PageContext, guide: JobGuide) -> None:
        super().__init__(context)
        self.guide = guide
        self._jobs: list[Job] = []

    def enter(self) -> None:
        """Stand where the job was left."""
        self.chosen = 0
        self.guide.open()
        self._jobs = self.guide.jobs() if self.guide.job is None else []

    def size(self) -> int:
        """Return how many jobs, or lengths of the cut card, can be chosen."""
        job = self.guide.job
        if job is None:
            return 0 if self.guide.problem else len(self._jobs) + 1
        return len(CARD_LENGTHS) if job is not None and job.at == "cut-card" else 0

    def primary(self) -> None:
        """Do what the bottom line says."""
        phase = self.guide.phase
        if phase is GuidePhase.NONE:
            self._ask_part()
        elif phase is GuidePhase.DONE:
            self.context.send(OpenPage("turning"))
        else:
            self._send(Press())

    def _send(self, message: GuideMessage) -> None:
        try:
            self.guide.send(message)
        except FullturnError as error:
            self.context.send(ShowText(str(error)))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next, short."""
        return "this job" if self._lists_jobs else primary_label(self.guide)[0]

    @property
    def _lists_jobs(self) -> bool:
        return self.guide.job is None and self.chosen < len(self._jobs)

    def command(self, name: str) -> bool:
        """Do a command that only Steps has."""
        if name == "enter":
            self._ask_length()
        elif name == "anew":
            self._ask_anew()
        else:
            self._send(MESSAGES[name])
        return True

    def _ask_part(self) -> None:
        if not self.guide.may_act or self.guide.problem:
            return
        if self.chosen < len(self._jobs):
            job = self._jobs[self.chosen]
            self.context.send(EnterSetup({"part": job.part, "job": job.number}))
            self.chosen = 0
            return

        def take(line: str) -> None:
            if line.strip():
                self.context.send(EnterSetup({"part": line.strip()}))

        self.context.ask("What is measured?", "the part's name; job number and limit: Set-up (2)", take)

    def _ask_length(self) -> None:
        if not self.size():
            self.context.send(ShowText("lengths are entered at the cut card"))
            return
        key = CARD_LENGTHS[self.chosen]

        def take(line: str) -> None:
            self.guide.send(EnterLength(key, line))

        assert self.guide.job is not None
        hint = "9.5 mm, 0.01 in; empty: not entered"
        self.context.ask(VALUE_NAMES[key], hint, take, self.guide.job.values.get(key, ""))

    def _ask_anew(self) -> None:
        if self.guide.job is None or not self.guide.may_act:
            return

        def take(line: str) -> None:
            if line.strip().lower() in ("y", "yes"):
                self.guide.send(BeginAnew())

        self.context.ask("Put this job aside and begin it anew?", "y = yes; nothing is lost", take)

    def tick(self) -> None:
        """A part named meanwhile opens its job."""
        if self.guide.job is None and not self.guide.problem:
            self.guide.open()

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        options = self.context.options
        if self.guide.job is None and not self.guide.problem:
            words = "go on with this job" if self._lists_jobs else "type the part's name"
            return jobs_page(view, options, self._jobs, self.chosen, words, width, height)
        words = primary_label(self.guide)[1]
        return steps_page(view, options, self.guide, self.chosen, words, width, height)


class ErrorSourcesController(PageController):
    """Whose error it is."""

    name = "owner"

    def __init__(self, context: PageContext, guide: JobGuide) -> None:
        super().__init__(context)
        self._guide = guide

    def enter(self) -> None:
        """Look which job it is."""
        self._guide.open()

    def primary(self) -> None:
        """Go to the steps, which take the sweeps."""
        self.context.send(OpenPage("steps"))

    def primary_label(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "to Steps"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return owner_page(view, self.context.options, self._guide, self.primary_label(view), width, height)
