"""One person's walk through a job at one desk: what SPACE does next, which sweep is being taken.

Every act that touches the measurement goes through the desk as an event. Knows nothing of keys and pages.
"""

import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from analysis.errors import BadInput, FullturnError
from logger.live.acts import VIEW_ONLY
from logger.live.desk import NOT_KEPT, OWNS, Desk, KeptTurn
from logger.live.guided import files
from logger.live.guided.cautions import CAUTIONS
from logger.live.guided.job import Job, Taken
from logger.live.guided.reading import Reading
from logger.live.guided.steps import BY_KEY, ORDER, PUSH_PULL, WANTED_TURNS, Step
from logger.live.guided.story import Story
from logger.live.guided.telling import Told
from logger.taken import BEGUN, TAKEN

BACK_S = 0.15
"""A turn seen to end so much later than it did still counts as begun after the press."""
NS = 1e-9
MARK_WORDS = {
    "part": "the part's mark is under the tip now",
    "arbor": "the arbor's mark is under the tip now",
}


@dataclass
class Sweeping:
    """A sweep that is being taken."""

    id: str
    marks: list[str]
    """Marks still to be touched, the next one first."""
    fresh: bool
    """True where no turn can have begun before: the bench was just set up, or a mark was just touched."""
    begun_ns: int | None = None
    """When it was noted; None before."""
    seen: int = -1
    """Number of the newest turn that was looked at."""
    turns: list[KeptTurn] = field(default_factory=list)
    pending: bool = False
    """True once it was noted as taken and has not come back yet."""


class Walk:
    """The walk. ``desk`` gives the desk of the moment; a Story moves it on."""

    def __init__(
        self,
        desk: Callable[[], Desk],
        data_folder: Path,
        *,
        unit: Callable[[], str],
        story: Story | None = None,
        moved: Callable[[Desk], None] = lambda desk: None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        """``moved`` is told the desk the story has moved on to; ``now`` dates what is kept."""
        self._desk, self._data = desk, data_folder
        self._unit, self._story, self._moved, self._now = unit, story, moved, now
        self.job: Job | None = None
        self.problem = ""
        """Why there is no job, or why it is not kept."""
        self.sweeping: Sweeping | None = None
        self.reading = Reading()
        """What the sweeps say, made beside the painting."""
        self._folder: Path | None = None
        self._again = False
        self._arbor_touched: int | None = None
        """Boot of the board in which the arbor's mark was touched on this lathe."""

    # --- opening --------------------------------------------------------------------------------------

    def open(self) -> None:
        """Look which job the set-up names, and stand where it was left."""
        setup = self._desk().session.setup
        part, number = setup.part.strip(), setup.text.get("job", "").strip()
        self._desk().on_event = self._noticed
        if not part:
            self.job, self._folder = None, None
            return
        if self.job is not None and (self.job.part, self.job.number) == (part, number):
            return
        self.problem, self.sweeping, self._again = "", None, False
        self._folder = files.folder_of(self._data, part, number)
        try:
            self.job = files.read(self._folder) or Job(part, number)
        except BadInput as error:
            self.job, self.problem = None, str(error)
            return
        self.reading = Reading()

    def _keep(self, job: Job) -> None:
        """Take a job over and keep it; what cannot be kept is said and holds for now."""
        self.job = job
        if self._desk().kind not in OWNS or self._folder is None:
            return
        try:
            files.write(self._folder, job)
            self.problem = ""
        except BadInput as error:
            self.problem = str(error)

    @property
    def may_act(self) -> bool:
        """Tell whether this window may take sweeps."""
        return self._desk().kind in OWNS

    # --- where it stands ------------------------------------------------------------------------------

    @property
    def phase(self) -> str:
        """``none``, ``caution``, ``ready``, ``mark``, ``turning``, ``working``, ``told`` or ``done``."""
        job = self.job
        if job is None:
            return "none"
        if job.finished:
            return "done"
        if job.unacknowledged:
            return "caution"
        if self.sweeping is not None:
            if self.sweeping.marks:
                return "mark"
            return "working" if self.sweeping.pending else "turning"
        if not job.takes:
            return "told"
        if job.here is not None and not self._again:
            return "told" if self.told is not None else "working"
        return "ready"

    @property
    def told(self) -> Told | None:
        """What the step where the job stands has shown; None before."""
        job = self.job
        if job is None:
            return None
        found = self.reading.told.get(job.at)
        if found is not None and self.reading.is_of(job, self._unit()):
            return found
        kept = job.here
        if kept is not None and kept.said:
            return Told(kept.said, ROLES.get(kept.state, "strong"), kept.figure, (), kept.state)
        return None

    @property
    def bench_sweep(self) -> str | None:
        """What the practice bench will turn for this step; None at a real port, or where it has nothing."""
        if self._story is None or self.job is None:
            return None
        return self._story.sweep(self.job.at, self.job.attempt)

    @property
    def on_story(self) -> bool:
        """Tell whether the practice bench in this process moves on with the job."""
        return self._story is not None

    @property
    def full_turns(self) -> int:
        """How many full turns the sweep has so far."""
        return len(self.sweeping.turns) if self.sweeping else 0

    def next_words(self) -> str:
        """Return what SPACE will do next."""
        if not self.may_act:
            return "nothing: " + (VIEW_ONLY if self._desk().kind == "follow" else NOT_KEPT)
        job, phase = self.job, self.phase
        if job is None or phase == "none":
            return "name the part"
        if phase == "caution":
            return "read it: go on"
        if phase == "ready":
            return self._ready_words(job.step)
        if phase == "mark" and self.sweeping is not None:
            return MARK_WORDS[self.sweeping.marks[0]]
        if phase == "turning":
            return self._turning_words(job.step)
        if phase == "working":
            return "wait: it is being worked out"
        if phase == "done":
            return "back to Turning"
        return f"on to: {self._after()}"

    def _ready_words(self, step: Step) -> str:
        if self._story is not None:
            if self.bench_sweep is None:
                return "skip: the bench has no such sweep"
            return f"done, begin (bench: {self.bench_sweep.split('/')[-1]})"
        return "done, begin"

    def _turning_words(self, step: Step) -> str:
        if step.takes == PUSH_PULL:
            return "pushed and pulled three times: take it"
        n = self.full_turns
        if not n:
            return "nothing yet: turn once round"
        return f"take {'this turn' if n == 1 else f'these {n} turns'}"

    def _after(self) -> str:
        assert self.job is not None
        if self._wants_another():
            return "mount it again"
        place = ORDER.index(self.job.at) + 1
        return BY_KEY[ORDER[place]].short if place < len(ORDER) else "the end of the job"

    def _wants_another(self) -> bool:
        job = self.job
        if job is None or job.at not in ("mounting", "predicted") or job.here is None:
            return False
        return self.told is not None and self.told.state == "mount-again"

    # --- what a person does ---------------------------------------------------------------------------

    def press(self) -> None:
        """Do what the bottom line says."""
        job, phase = self.job, self.phase
        if job is None or not self._allowed():
            return
        if phase == "caution":
            self._keep(job.acknowledging(job.unacknowledged[0]))
        elif phase == "ready":
            self._ready()
        elif phase == "mark" and self.sweeping is not None:
            self._desk().acts.mark(self.sweeping.marks[0])
        elif phase == "turning":
            self._take()
        elif phase == "told":
            self._on(job.mounting_again() if self._wants_another() else job.onward())

    def _allowed(self) -> bool:
        if not self.may_act:
            self._desk().say(VIEW_ONLY if self._desk().kind == "follow" else NOT_KEPT)
        return self.may_act

    def _on(self, job: Job) -> None:
        self.sweeping, self._again = None, False
        self._keep(job)

    def back(self) -> None:
        """Go to the step before; a sweep begun and not taken is given up."""
        if self.job is not None and self._allowed():
            self._on(self.job.back())

    def skip(self) -> None:
        """Leave this step out, or leave it at what it has shown."""
        job = self.job
        if job is None or job.finished or not self._allowed():
            return
        step, bare = job.step, job.step.takes and job.last(job.at) is None
        self._on(job.skipping())
        self._desk().say(f"{step.title}: skipped; results that miss it say so" if bare else "left at that")

    def again(self) -> None:
        """Take this step's sweep again; the last one counts."""
        job = self.job
        if job is None or job.finished or not self._allowed():
            return
        if not job.step.takes or (job.at == "predicted" and not job.takes):
            self._desk().say("this step takes no sweep")
            return
        self.sweeping, self._again = None, True

    def another(self) -> None:
        """Mount it once more; the mountings so far are kept."""
        job = self.job
        if job is None or not self._allowed():
            return
        if job.last("mounting") is None:
            self._desk().say("no mounting yet")
            return
        self._on(job.mounting_again())

    def enter(self, key: str, words: str) -> None:
        """Enter a length of the cut card. Raises BadInput."""
        from analysis.units import parse_length  # noqa: PLC0415

        if self.job is None or not self._allowed():
            return
        if words.strip():
            parse_length(words, key.replace("_", " "))
        self._keep(self.job.entering({key: words.strip()}))

    def begin_anew(self) -> None:
        """Put the job aside and begin it anew. Raises BadInput."""
        if self.job is None or self._folder is None or not self._allowed():
            return
        aside = files.put_away(self._folder)
        self.sweeping, self._again = None, False
        self.job, self.reading = Job(self.job.part, self.job.number), Reading()
        self._desk().say(f"a new job; the one before lies in {aside.name}" if aside else "a new job")

    # --- a sweep --------------------------------------------------------------------------------------

    def _ready(self) -> None:
        job = self.job
        assert job is not None
        desk = self._desk()
        if job.takes != PUSH_PULL and desk.session.angle_source not in ("encoder", "index"):
            desk.say("Steps takes full turns: that needs an encoder, or an index pulse each turn")
            return
        if self._story is not None:
            name = self.bench_sweep
            if name is None:
                self.skip()
                return
            seed = 1 + len(job.taken)
            try:
                desk = self._story.move(name, seed)
            except FullturnError as error:
                desk.say(str(error))
                return
            self._moved(desk)
            desk.on_event = self._noticed
            marks: list[str] = []
        else:
            desk.change_setup(self._setup_of(job.step))
            marks = self._marks_of(job.step)
        self.sweeping = Sweeping(str(uuid.uuid4()), marks, fresh=self._story is not None)
        if not marks:
            self._begin()

    def _setup_of(self, step: Step) -> dict[str, str]:
        """Return what the step changes in the set-up: marks tell the index angle, if any."""
        changes = {"stage": step.stage, "mark_on": "part"}
        if not step.lathe or self._desk().session.angle_source != "index":
            changes["index_angle"] = ""
        return changes

    def _marks_of(self, step: Step) -> list[str]:
        desk = self._desk()
        if step.takes == PUSH_PULL or desk.session.angle_source == "index":
            return []
        if not step.lathe:
            self._arbor_touched = None
            return ["part"]
        if step.key == "after-cut" and self._arbor_touched == desk.session.boots and desk.marked:
            return []  # nothing was loosened since
        return ["part"] if self._arbor_touched == desk.session.boots else ["part", "arbor"]

    def _begin(self) -> None:
        sweeping, job, desk = self.sweeping, self.job, self._desk()
        assert sweeping is not None
        assert job is not None
        sweeping.begun_ns = desk.now_ns()
        sweeping.seen = -1 if sweeping.fresh or not desk.turns else desk.turns[-1].told.turn
        desk.note_plain({"event": BEGUN, "id": sweeping.id, "step": job.at, "attempt": job.attempt})
        self._tell_end_float()

    def _tell_end_float(self) -> None:
        """A sweep in its bearings carries the end float that was measured and let pass, for its check."""
        job = self.job
        found = None if job is None or job.at not in ("as-found", "as-left") else job.last("end-float")
        if found is None or found.state not in ("clear", "doubtful"):
            return
        value = self.reading.float_mm(found.id)
        if value is not None:
            self._desk().note_plain({"event": "end-float", "float_mm": value})

    def _take(self) -> None:
        sweeping, job = self.sweeping, self.job
        assert sweeping is not None
        assert job is not None
        fields: dict[str, object] = {
            "event": TAKEN,
            "id": sweeping.id,
            "step": job.at,
            "attempt": job.attempt,
        }
        if job.step.takes != PUSH_PULL:
            if not sweeping.turns:
                self._desk().say("no full turn yet: turn once round past the mark")
                return
            first, last = sweeping.turns[0], sweeping.turns[-1]
            fields |= {
                "from_turn": first.told.turn,
                "to_turn": last.told.turn,
                "from_s": min(first.ended.turn.start_s, last.ended.turn.start_s),
                "to_s": max(first.ended.turn.end_s, last.ended.turn.end_s),
            }
        sweeping.pending = True
        self._desk().note_plain(fields)

    def _noticed(self, fields: Any) -> None:
        sweeping = self.sweeping
        event = fields.get("event")
        if event == "restart":
            self._arbor_touched = None
        if sweeping is None:
            return
        if event == "mark" and sweeping.marks and fields.get("on") == sweeping.marks[0]:
            on = sweeping.marks.pop(0)
            if on == "arbor":
                self._arbor_touched = self._desk().session.boots
            if on == "part":
                sweeping.fresh = True
            if not sweeping.marks and sweeping.begun_ns is None:
                self._begin()
        elif event == TAKEN and fields.get("id") == sweeping.id:
            self._came_back(fields)

    def _came_back(self, fields: Any) -> None:
        job, recorder = self.job, self._desk().recorder
        assert job is not None
        assert recorder is not None
        assert self._folder is not None
        self.sweeping, self._again = None, False
        try:
            kept = files.keep_recording(recorder.path, self._folder)
        except BadInput as error:
            self._desk().say(str(error))
            return
        self._keep(
            job.with_taken(
                Taken(
                    str(fields["id"]),
                    str(fields["step"]),
                    int(fields["attempt"]),
                    kept,
                    recorder.identity.recording_id,
                    fields.get("from_turn"),
                    fields.get("to_turn"),
                    self._now().isoformat(timespec="seconds").replace("+00:00", "Z"),
                )
            )
        )

    # --- beside ---------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Look at what has come; called by the timer."""
        self._count_turns()
        for sweep_id, told in self.reading.take():
            job = self.job
            if job is not None:
                self._keep(job.saying(sweep_id, told.sentence, told.state or told.role, told.figure))

    def _count_turns(self) -> None:
        sweeping, desk = self.sweeping, self._desk()
        if sweeping is None or sweeping.begun_ns is None or sweeping.pending:
            return
        if (desk.broken or desk.board == "restarted") and not sweeping.marks:
            sweeping.turns.clear()
            takes = self.job.step.takes if self.job else ""
            if takes != PUSH_PULL:
                sweeping.marks = self._marks_after_break()
            return
        now_ns = desk.now_ns()
        for kept in desk.turns:
            if kept.told.turn <= sweeping.seen:
                continue
            sweeping.seen = kept.told.turn
            lasted_ns = (kept.ended.turn.end_s - kept.ended.turn.start_s) / NS
            if sweeping.fresh or now_ns - lasted_ns >= sweeping.begun_ns - BACK_S / NS:
                sweeping.turns.append(kept)

    def _marks_after_break(self) -> list[str]:
        lathe = self.job is not None and self.job.step.lathe and self._story is None
        return ["part", "arbor"] if lathe and self._arbor_touched is None else ["part"]

    @property
    def wants_work(self) -> bool:
        """Tell whether sweeps have to be read or told anew, or a sitting of the story closed."""
        if self._story is not None and self._story.wants_closing:
            return True
        return self.job is not None and self.reading.wants(self.job, self._unit())

    def work(self) -> None:
        """Do what is wanted; beside the painting, from one thread."""
        self.close_old()
        job, folder = self.job, self._folder
        if job is not None and folder is not None and self.reading.wants(job, self._unit()):
            text = self._desk().session.setup.text
            limit = {key: text[key] for key in LIMIT_KEYS if text.get(key)}
            self.reading.work(job, folder, self._unit(), limit)

    def close_old(self) -> None:
        """Close sittings of the story that are over."""
        if self._story is not None:
            self._story.close_old()


ROLES = {
    "clear": "within",
    "doubtful": "doubt",
    "refused": "over",
    "mounting-good": "within",
    "mount-again": "over",
    **{name: name for name in ("within", "over", "undecided", "doubt", "strong")},
}
"""How what was said of a sweep is shown again."""
LIMIT_KEYS = ("limit", "limit_quantity", "limit_radius", "limit_source")
"""Entered after a sweep, a limit still holds for it."""
__all__ = ["CAUTIONS", "WANTED_TURNS", "Walk"]
