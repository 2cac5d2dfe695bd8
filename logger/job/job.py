"""Where one job stands: its step, its sweeps, what was skipped and acknowledged. Plain values, no files.

Nothing is ever taken out: a sweep taken again stands beside the one before, and the last one counts.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from logger.job.steps import BY_KEY, DONE, ORDER, Step, StepSweep


@dataclass(frozen=True)
class JobSweep:
    """One sweep of the job, where it lies and what was said of it."""

    id: str
    step: str
    attempt: int
    """Which mounting (or repetition) of the step it belongs to, from 1."""
    file: str
    """Recording, relative to the job's folder where it was kept there."""
    recording_id: str
    from_turn: int | None
    """First and last turn of the recording, counted from 0; None for a push-pull capture."""
    to_turn: int | None
    taken: str
    """When, ISO 8601 UTC."""
    said: str = ""
    """Its result in one sentence."""
    state: str = ""
    figure: str = ""
    """Its result in a word or two, for the list of steps."""


@dataclass(frozen=True)
class Job:
    """One job: part and job number name it."""

    part: str
    number: str
    at: str = ORDER[0]
    attempt: int = 1
    taken: tuple[JobSweep, ...] = ()
    skipped: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    """Steps that were gone on without, although what they showed refused."""
    acknowledged: tuple[str, ...] = ()
    """Keys of cautions."""
    values: Mapping[str, str] = field(default_factory=dict)
    """Lengths of the cut card as typed."""

    # --- looking --------------------------------------------------------------------------------------

    @property
    def finished(self) -> bool:
        """Tell whether the last step is behind."""
        return self.at == DONE

    @property
    def step(self) -> Step:
        """The step it stands at; the last one once it is finished."""
        return BY_KEY.get(self.at, BY_KEY[ORDER[-1]])

    @property
    def here(self) -> JobSweep | None:
        """The newest sweep of this step and attempt; None before there is one."""
        return next((one for one in reversed(self.taken) if self._is_here(one)), None)

    def _is_here(self, one: JobSweep) -> bool:
        return one.step == self.at and one.attempt == self.attempt

    def of(self, *steps: str) -> tuple[JobSweep, ...]:
        """Return the sweeps that count of these steps, the last of each attempt, in the order taken."""
        newest = {(one.step, one.attempt): one for one in self.taken if one.step in steps}
        return tuple(one for one in self.taken if newest.get((one.step, one.attempt)) is one)

    def of_step(self, step: str) -> tuple[JobSweep, ...]:
        """Return every sweep of a step, those done again too."""
        return tuple(one for one in self.taken if one.step == step)

    def last(self, *steps: str) -> JobSweep | None:
        """Return the newest sweep of these steps; None where there is none."""
        found = self.of(*steps)
        return found[-1] if found else None

    @property
    def came_off(self) -> bool:
        """Tell whether the part was re-indexed after the last sweep of a mounting."""
        mounted = self.last("mounting", "predicted")
        half = self.last("half-before")
        if half is None or mounted is None:
            return False
        return self.taken.index(half) > self.taken.index(mounted)

    @property
    def takes(self) -> StepSweep:
        """What the step takes: ``predicted`` takes a sweep only where the part came off since."""
        if self.at == "predicted" and self.here is None and not self.came_off:
            return StepSweep.NOTHING
        return StepSweep.NOTHING if self.finished else self.step.takes

    @property
    def unacknowledged(self) -> tuple[str, ...]:
        """Cautions of this step that nobody has acknowledged in this job."""
        if self.finished:
            return ()
        return tuple(key for key in self.step.cautions if key not in self.acknowledged)

    # --- going on -------------------------------------------------------------------------------------

    def acknowledging(self, key: str) -> "Job":
        """A person has read a caution."""
        return self if key in self.acknowledged else replace(self, acknowledged=(*self.acknowledged, key))

    def with_sweep(self, one: JobSweep) -> "Job":
        """A sweep was taken; the step is skipped no more, and not gone on without."""
        skipped = tuple(step for step in self.skipped if step != one.step)
        without = tuple(step for step in self.without if step != one.step)
        return replace(self, taken=(*self.taken, one), skipped=skipped, without=without)

    def saying(self, sweep_id: str, said: str, state: str, figure: str) -> "Job":
        """What was said of a sweep is kept beside it."""
        sweeps = tuple(
            replace(one, said=said, state=state, figure=figure) if one.id == sweep_id else one
            for one in self.taken
        )
        return replace(self, taken=sweeps)

    def mounting_again(self) -> "Job":
        """Stand at one more mounting; those before are kept."""
        return replace(self, at="mounting", attempt=self._attempts("mounting") + 1)

    def onward(self) -> "Job":
        """Go to the next step."""
        return self._to(1)

    def back(self) -> "Job":
        """Go to the step before; at the first one nothing happens."""
        if self.finished:
            return self._standing(ORDER[-1])
        return self._to(-1)

    def skipping(self) -> "Job":
        """Leave this step out: said so in every result that misses it. One that has a sweep is just left."""
        if self.finished:
            return self
        bare = self.takes and not self.step.optional and self.last(self.at) is None
        skipped = (*self.skipped, self.at) if bare and self.at not in self.skipped else self.skipped
        return replace(self, skipped=skipped)._to(1)

    def going_on_without(self) -> "Job":
        """Go on although this step refuses: every result after it says so."""
        without = self.without if self.at in self.without else (*self.without, self.at)
        return replace(self, without=without).onward()

    def entering(self, values: Mapping[str, str]) -> "Job":
        """Enter lengths of the cut card; an empty one is taken out."""
        text = {**self.values, **values}
        return replace(self, values={key: value for key, value in text.items() if value.strip()})

    def _attempts(self, step: str) -> int:
        return max((one.attempt for one in self.taken if one.step == step), default=0)

    def _to(self, direction: int) -> "Job":
        place = ORDER.index(self.at) + direction if not self.finished else len(ORDER)
        while direction > 0 and place < len(ORDER) and self._passed_by(ORDER[place]):
            place += 1
        if place >= len(ORDER):
            return self._standing(DONE)
        return self._standing(ORDER[max(0, place)])

    def _passed_by(self, step: str) -> bool:
        return BY_KEY[step].optional and self.last(step) is None

    @property
    def after(self) -> str:
        """The step that follows this one, or DONE."""
        return self.onward().at

    def _standing(self, at: str) -> "Job":
        more = 1 if at == "predicted" and self.came_off else 0
        return replace(self, at=at, attempt=max(1, self._attempts(at) + more))
