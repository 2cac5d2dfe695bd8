"""The sweeps of a job, asked for by step: which one counts, on which mounting, and who owns what."""

from analysis.correction import HalfTurnReading
from analysis.errors import BadInput
from analysis.measurands import EndFloat
from analysis.results import CheckState
from analysis.separation import ArborSweep, ErrorSources, find_error_sources
from logger.inputs import AnalysedSweep
from logger.job.finding import Found, MissingSweep
from logger.job.job import Job, JobSweep
from logger.job.steps import BY_KEY
from logger.studies import SeparationStudy, study_separation

NOT_READ = "its recording has not been read yet"


class StepSweeps:
    """All sweeps of one job as they were found."""

    def __init__(self, job: Job, found: Found) -> None:
        self.job, self._found = job, found

    def of(self, one: JobSweep | None, step: str) -> AnalysedSweep:
        """Return a sweep; raises Missing where the step was skipped or its recording cannot be read."""
        if one is None:
            skipped = "was skipped" if step in self.job.skipped else "has no sweep yet"
            raise MissingSweep(f"{BY_KEY[step].title}: {skipped}; what needs it cannot be told")
        found = self._found.get(one.id, NOT_READ)
        if isinstance(found, AnalysedSweep):
            return found
        raise MissingSweep(
            f"{BY_KEY[step].title}: {found if isinstance(found, str) else 'a push-pull capture'}"
        )

    def last(self, step: str) -> AnalysedSweep:
        """Return the sweep of a step that counts. Raises MissingSweep."""
        return self.of(self.job.last(step), step)

    def refused(self, step: str) -> bool:
        """Tell whether a check refuses the sweep of a step that counts."""
        newest = self.job.last(step)
        found = self._found.get(newest.id) if newest is not None else None
        return isinstance(found, AnalysedSweep) and any(
            check.state is CheckState.REFUSED for check in found.result.checks
        )

    def own(self) -> AnalysedSweep | None:
        """Return the sweep in its own bearings as found; None where there is none to be read."""
        try:
            return self.last("as-found")
        except MissingSweep:
            return None

    def mountings(self) -> list[AnalysedSweep]:
        """Return every mounting that counts, in the order taken. Raises MissingSweep."""
        found = [self.of(one, one.step) for one in self.job.of("mounting", "predicted")]
        if not found:
            self.last("mounting")
        return found

    def end_float(self) -> EndFloat | None:
        """Return the end float that was measured last; None where there is none. Raises MissingSweep."""
        newest = self.job.last("end-float")
        if newest is None:
            return None
        found = self._found.get(newest.id, NOT_READ)
        if isinstance(found, EndFloat):
            return found
        raise MissingSweep(
            f"{BY_KEY['end-float'].title}: {found if isinstance(found, str) else 'a sweep, no float'}"
        )

    def separation_study(self) -> SeparationStudy | None:
        """Return part and spindle told apart before the cut; None before there is a mounting and a half turn.

        Raises FullturnError.
        """
        parts = [self.of(one, one.step) for one in (*self._reindexed()[-1:], *self.job.of("half-before"))]
        arbors = [] if self.job.last("arbor") is None else [self.last("arbor")]
        if not self._reindexed() or len(parts) + len(arbors) < 2:
            return None
        try:
            return study_separation(parts, arbors)
        except BadInput:
            if not arbors or len(parts) < 2:
                raise
            return study_separation(parts)  # an arbor measured on another surface says nothing of this one

    def _reindexed(self) -> list[JobSweep]:
        """Return the mountings; once there is a half turn only those that can have been re-indexed by it."""
        halves, order = self.job.of("half-before"), self.job.taken.index
        return [one for one in self.job.of("mounting") if not halves or order(one) < order(halves[-1])]

    def error_sources(self) -> ErrorSources:
        """Return who owns what, from all sweeps before the cut. Raises FullturnError."""
        own, separation = self.own(), self.separation_study()
        lathe = [ArborSweep(*self.of(one, one.step).on_arbor(own)) for one in self._reindexed()]
        return find_error_sources(
            own.on_part() if own else None, lathe, separation.separation if separation else None
        )

    def remount(self) -> HalfTurnReading:
        """Return the half turn after the cut explained, what the cutting mount still read taken off.

        Raises FullturnError, also where nothing tells at which index it was cut.
        """
        half = self.last("half-after")
        if self.job.last("after-cut") is not None:
            remounted = study_separation([self.last("after-cut"), half])
        else:
            remounted = study_separation([half], cut_at_deg=self.mountings()[-1].known_index())
        if not remounted.remounts:
            raise MissingSweep(
                "The remount cannot be held against the cut: sweep after the cut, then the half turn."
            )
        return remounted.remounts[0].reading


def best_next(sources: ErrorSources) -> str:
    """Return what these positions cannot separate, and the position to add; empty where all is told."""
    found = sources.separation
    if found is None or not found.not_separable:
        return ""
    orders, at = found.not_separable, f"{found.best_next_deg:.0f} deg"
    even = all(n % 2 == 0 for n in orders) and len(orders) > 1
    which = "Even orders (oval, saddle)" if even else f"Order {', '.join(map(str, orders))}"
    return (
        f"{which} cannot be separated with these positions; a sweep with the part's mark at {at} on the "
        "arbor would."
    )
