"""What a batch at the screen reads from the store and keeps in it, beside the painting."""

from pathlib import Path

from analysis.errors import FullturnError
from logger.batch import (
    Batch,
    BatchPlan,
    CheckLimits,
    SkippedPart,
    check_limits,
    keep_skipped,
    skipped_of_job,
    sweeps_of_job,
)


class BatchStore:
    """What was measured in a job looked up, and reasons of parts that are skipped kept."""

    def __init__(self, where: str | None, planned: tuple[str, ...], plan: BatchPlan | None) -> None:
        """``where``: the store that tells quickly what was measured; ``planned``: serials in their order."""
        self._where, self._planned, self._plan = where, planned, plan or BatchPlan()
        self._to_look: tuple[str, Path] | None = None
        self._to_keep: list[tuple[str, SkippedPart, str]] = []
        self._found: Batch | None = None
        self.words = ""
        """What could not be read or kept."""

    def look_up(self, job: str, folder: Path) -> None:
        """Have it looked up what was measured in a job."""
        self._to_look = job, folder

    def keep(self, job: str, one: SkippedPart, who: str) -> None:
        """Have the reason of a skipped part kept."""
        self._to_keep.append((job, one, who))

    @property
    def is_looking(self) -> bool:
        """Tell whether it is still looked up."""
        return self._to_look is not None or self._found is not None

    def found(self) -> Batch | None:
        """Return the batch that was looked up, once; None where none waits."""
        found, self._found = self._found, None
        return found

    @property
    def wants_work(self) -> bool:
        """Tell whether something is to be looked up or kept."""
        return bool(self._to_look or self._to_keep)

    def work(self) -> None:
        """Do it."""
        asked = self._to_look
        if asked is not None:
            self._found, self._to_look = self._looked_up(*asked), None
        while self._to_keep:
            job, one, who = self._to_keep.pop(0)
            try:
                if self._where is not None:
                    keep_skipped(self._where, job, one, who)
            except FullturnError as error:
                self.words = f"the reason is not kept: {error}"

    def _looked_up(self, job: str, folder: Path) -> Batch:
        limits = CheckLimits(self._plan.check_part)
        try:
            limits = check_limits(self._where, self._plan.check_part)
        except FullturnError as error:
            self.words = str(error)
        earlier = skipped_of_job(job, self._where)
        return Batch(
            job,
            self._planned,
            sweeps_of_job(job, folder, self._where).sweeps,
            plan=self._plan,
            limits=limits,
            left_before={one.serial: one.reason for one in earlier},
        )
