"""Sweeps of a job read from their recordings and told, beside the painting; the newest result is kept.

One thread works, another looks: what is shown is replaced whole.
"""

import queue
from collections.abc import Mapping
from pathlib import Path

from analysis.decision import limit_at_track
from analysis.errors import FullturnError
from analysis.measurands import EndFloat, end_float
from analysis.separation import ErrorSources
from analysis.setup import Quantity
from logger.inputs import AnalysedSweep, analysed, load_excerpt
from logger.job.finding import Finding
from logger.job.findings import finding_of, mounting_figures
from logger.job.job import Job, JobSweep
from logger.job.job_file import recording_of
from logger.job.step_sweeps import StepSweeps, best_next
from logger.reports.late_gauge import in_short


class JobReader:
    """What all sweeps of one job say."""

    def __init__(self) -> None:
        self.findings: dict[str, Finding] = {}
        """By step."""
        self.figures: dict[str, str] = {}
        """Of each mounting, by its sweep."""
        self.error_sources: ErrorSources | None = None
        self.error_sources_problem = ""
        """Why no owners are told; empty where they are."""
        self.best_next = ""
        self.late_gauge = ""
        """What a delay that nothing tells does to what is told of owners; empty where every delay is told."""
        self._found: dict[str, AnalysedSweep | EndFloat | str] = {}
        self._of: object = None
        self._limit: dict[str, str] = {}
        """Limit the sweeps were read with: what the set-up says now holds for the whole job."""
        self._fresh: queue.SimpleQueue[tuple[str, Finding]] = queue.SimpleQueue()

    def wants(self, job: Job, unit: str, limit: Mapping[str, str]) -> bool:
        """Tell whether something has changed since the last work."""
        return bool(job.taken) and (not self.is_of(job, unit) or limit != self._limit)

    def is_of(self, job: Job, unit: str) -> bool:
        """Tell whether what is told is of this job as it stands."""
        return self._of == _key(job, unit)

    def take(self) -> list[tuple[str, Finding]]:
        """Return what was told of sweeps since the last time: id and what it said."""
        fresh = []
        while not self._fresh.empty():
            fresh.append(self._fresh.get())
        return fresh

    def float_mm(self, sweep_id: str) -> float | None:
        """Return the end float of a push-pull capture; None where it was not read."""
        found = self._found.get(sweep_id)
        return found.end_float.value if isinstance(found, EndFloat) and found.end_float else None

    def work(self, job: Job, folder: Path, unit: str, limit: Mapping[str, str]) -> None:
        """Read what was not read yet and tell every step anew, all held against ``limit``."""
        if limit != self._limit:
            self._found, self._limit = {}, dict(limit)
        for one in job.taken:
            if one.id not in self._found:
                self._found[one.id] = _read(one, folder, limit)
        sweeps = StepSweeps(job, self._found)
        findings = finding_of(sweeps, unit, limit.get("limit", ""))
        self.figures = mounting_figures(sweeps, unit)
        try:
            self.error_sources, self.error_sources_problem = sweeps.error_sources(), ""
            self.best_next, study = best_next(self.error_sources), sweeps.separation_study()
            self.late_gauge = in_short(study.late_part) if study else ""
        except FullturnError as error:
            self.error_sources, self.error_sources_problem, self.best_next = None, str(error), ""
            self.late_gauge = ""
        self.findings, self._of = findings, _key(job, unit)
        for step, words in findings.items():
            newest = job.last(step)
            if newest is not None and newest.said != words.sentence and not words.failed:
                self._fresh.put((newest.id, words))


def _key(job: Job, unit: str) -> object:
    gone = job.skipped, job.without
    return unit, tuple(one.id for one in job.taken), gone, tuple(sorted(job.values.items()))


def _read(one: JobSweep, folder: Path, limit: Mapping[str, str]) -> AnalysedSweep | EndFloat | str:
    try:
        loaded = load_excerpt(recording_of(folder, one), one.id, limit)
        if one.step != "end-float":
            return analysed(loaded, one.step)
        entered = loaded.capture.setup.limit
        limit_mm = None if entered is None else limit_at_track(entered, loaded.capture.setup)[0]
        own = entered is not None and entered.quantity == Quantity.END_FLOAT
        return end_float(loaded.capture, limit_mm, own_limit=own)
    except FullturnError as error:
        return str(error)
