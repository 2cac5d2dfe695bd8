"""Steps: SPACE walks the job; Owner: whose error it is, from the job's sweeps."""

from logger.job import Job
from logger.live.controllers.controller import PageContext, PageController
from logger.live.controllers.preparation import change_setup
from logger.live.drawing.rows import Row
from logger.live.job.guide import JobGuide
from logger.live.job.next_action import primary_label
from logger.live.pages.owner import owner_page
from logger.live.pages.step_result import VALUE_NAMES
from logger.live.pages.steps import jobs_page, steps_page
from logger.live.state.view import View
from logger.studies import CARD_LENGTHS


class StepsController(PageController):
    """The guided job."""

    name = "steps"
    direct = True

    def __init__(self, table: PageContext, walk: JobGuide) -> None:
        super().__init__(table)
        self.walk = walk
        self._jobs: list[Job] = []

    def enter(self) -> None:
        """Stand where the job was left."""
        self.chosen = 0
        self.walk.open()
        self._jobs = self.walk.jobs() if self.walk.job is None else []

    def size(self) -> int:
        """Return how many jobs, or lengths of the cut card, can be chosen."""
        job = self.walk.job
        if job is None:
            return 0 if self.walk.problem else len(self._jobs) + 1
        return len(CARD_LENGTHS) if job is not None and job.at == "cut-card" else 0

    def next(self) -> None:
        """Do what the bottom line says."""
        if self.walk.phase == "none":
            self._ask_part()
        elif self.walk.phase == "done":
            self.table.go("turning")
        else:
            self.walk.press()

    def next_words(self, view: View) -> str:
        """Return what SPACE will do next, short."""
        return "this job" if self._lists_jobs else primary_label(self.walk)[0]

    @property
    def _lists_jobs(self) -> bool:
        return self.walk.job is None and self.chosen < len(self._jobs)

    def order(self, name: str) -> bool:
        """Do a command that only Steps has."""
        if name == "enter":
            self._ask_length()
        elif name == "anew":
            self._ask_anew()
        else:
            acts = {
                "step-back": self.walk.back,
                "skip": self.walk.skip,
                "again": self.walk.again,
                "another": self.walk.another,
            }
            acts[name]()
        return True

    def _ask_part(self) -> None:
        if not self.walk.may_act or self.walk.problem:
            return
        if self.chosen < len(self._jobs):
            job = self._jobs[self.chosen]
            change_setup(self.table, {"part": job.part, "job": job.number})
            self.chosen = 0
            return

        def take(line: str) -> None:
            if line.strip():
                change_setup(self.table, {"part": line.strip()})

        self.table.ask("What is measured?", "the part's name; job number and limit: Set-up (2)", take)

    def _ask_length(self) -> None:
        if not self.size():
            self.table.desk.say("lengths are entered at the cut card")
            return
        key = CARD_LENGTHS[self.chosen]

        def take(line: str) -> None:
            self.walk.enter(key, line)

        assert self.walk.job is not None
        hint = "9.5 mm, 0.01 in; empty: not entered"
        self.table.ask(VALUE_NAMES[key], hint, take, self.walk.job.values.get(key, ""))

    def _ask_anew(self) -> None:
        if self.walk.job is None or not self.walk.may_act:
            return

        def take(line: str) -> None:
            if line.strip().lower() in ("y", "yes"):
                self.walk.begin_anew()

        self.table.ask("Put this job aside and begin it anew?", "y = yes; nothing is lost", take)

    def tick(self) -> None:
        """A part named meanwhile opens its job."""
        if self.walk.job is None and not self.walk.problem:
            self.walk.open()

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        look = self.table.look
        if self.walk.job is None and not self.walk.problem:
            words = "go on with this job" if self._lists_jobs else "type the part's name"
            return jobs_page(view, look, self._jobs, self.chosen, words, width, height)
        words = primary_label(self.walk)[1]
        return steps_page(view, look, self.walk, self.chosen, words, width, height)


class ErrorSourcesController(PageController):
    """Whose error it is."""

    name = "owner"
    direct = True

    def __init__(self, table: PageContext, walk: JobGuide) -> None:
        super().__init__(table)
        self._walk = walk

    def enter(self) -> None:
        """Look which job it is."""
        self._walk.open()

    def next(self) -> None:
        """Go to the steps, which take the sweeps."""
        self.table.go("steps")

    def next_words(self, view: View) -> str:
        """Return what SPACE will do next."""
        return "to Steps"

    def paint(self, view: View, width: int, height: int) -> list[Row]:
        """Return the page."""
        return owner_page(view, self.table.look, self._walk, self.next_words(view), width, height)
