"""Which sweeps a page is of: files named, a job's folder, or a part with sweeps in the data folder."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from analysis.errors import BadInput, FullturnError
from analysis.measurands import end_float
from analysis.setup import Stage
from logger import batch, recording
from logger.acquisition import unnamed_folder
from logger.inputs import AnalysedSweep, analysed, analysed_sweep, load_excerpt
from logger.job import BY_KEY, Job, JobSweep, job_file
from logger.page.batch_beside import NOTHING_BESIDE, Beside
from logger.page.part_on_page import MeasuredPart, StepDone, measured_part
from logger.page.stored_part import STAGES, StoredPlace
from logger.practice import PRACTICE
from logger.reports import sweep

TOLD_ABOVE = ("as-found", "as-left")
"""Steps whose results are the page itself."""
STATES = {
    "good": "mounting good enough",
    "again": "mount it again",
    "refused": "refused",
    "clear": "small enough",
    "doubtful": "doubtful",
}
"""What stands behind a figure in the list of steps, in whole words."""
SUFFIXES = (".mcap", ".csv")


@dataclass(frozen=True, slots=True)
class PageRequest:
    """What a person asks a page of."""

    names: tuple[str, ...]
    before: str | None = None
    after: str | None = None
    job_number: str | None = None
    serial: str | None = None
    stored: Mapping[Stage, StoredPlace] = field(default_factory=dict)
    """The part's newest recordings by stage that the store knows."""


def requested_part(
    asked: PageRequest, setup: Mapping[str, str], data_folder: Path, *, seed: int = 1
) -> MeasuredPart:
    """Return what the page is of; ``setup`` goes on top of every sweep's own. Raises BadInput."""

    def loaded(name: str) -> AnalysedSweep:
        return analysed_sweep(name, setup, seed=seed)

    if asked.names and all(map(_is_file, asked.names)):
        if asked.before or asked.after:
            raise BadInput("files and --before or --after at once: name the files alone, or the part")
        if len(asked.names) == 1 and (Path(asked.names[0]) / job_file.FILE).exists():
            return _of_job(Path(asked.names[0]), setup)
        if len(asked.names) > 2:
            raise BadInput(
                f"{len(asked.names)} files: a page is of one sweep, or of one before and one after"
            )
        return measured_part(
            loaded(asked.names[-1]), loaded(asked.names[0]) if len(asked.names) > 1 else None
        )
    if len(asked.names) > 1:
        missing = ", ".join(name for name in asked.names if not _is_file(name))
        raise BadInput(f"no file {missing}: name one part, or the files of before and after")
    if asked.after:
        return measured_part(loaded(asked.after), loaded(asked.before) if asked.before else None)
    if not asked.names:
        raise BadInput(
            "nothing to put on a page: name a part, the files of before and after, or a job's folder"
        )
    return _of_part(asked, setup, data_folder)


@dataclass(frozen=True)
class BatchSweeps:
    """The sweeps of a batch that count, and what was left out of it, a line each."""

    counted: tuple[AnalysedSweep, ...]
    left_out: tuple[str, ...] = ()
    beside: Beside = NOTHING_BESIDE


def requested_sweeps(
    names: Sequence[str],
    setup: Mapping[str, str],
    data_folder: Path,
    *,
    job_number: str | None = None,
    seed: int = 1,
    where: str | None = None,
) -> BatchSweeps:
    """Return the sweeps of a batch in the order named; of a folder all in it, by name.

    Without names those of a job in the data folder, by when they were begun: of a part measured more than
    once the last, without those of a check standard and without recordings that hold no sweep; ``where``:
    the store that has limits of check standards and what was left out. Raises BadInput where there is none.
    """
    files = [path for name in names for path in (_in_folder(Path(name)) if Path(name).is_dir() else [name])]
    if not names and job_number:
        return _of_job_number(job_number, setup, data_folder, where)
    if not files:
        raise BadInput("no part for a batch: name files, a folder of recordings, or --job NUMBER")
    return BatchSweeps(tuple(analysed_sweep(name, setup, seed=seed) for name in files))


def _in_folder(folder: Path) -> list[str]:
    return [str(path) for path in sorted(folder.iterdir()) if path.name.lower().endswith(SUFFIXES)]


def _of_job_number(
    number: str, setup: Mapping[str, str], data_folder: Path, where: str | None
) -> BatchSweeps:
    paths = batch.recordings_of_job(number, data_folder)
    if not paths:
        raise BadInput(
            f"no recording of job {number!r} lies in {data_folder}: `fullturn job list` lists jobs, or name "
            "files or a folder"
        )
    last: dict[object, AnalysedSweep] = {}
    left_out: list[str] = []
    sweeps: list[batch.MeasuredPart] = []
    for path in paths:
        try:
            one = analysed_sweep(str(path), setup)
        except BadInput as error:
            left_out.append(f"no sweep in {path.name}: {error}")
            continue
        text = one.result.setup.text
        sweeps.append(batch.measured_part(sweep.as_json(one.result, one.origin, one.capture.link)))
        if sweeps[-1].is_check:
            left_out.append(f"{path.name} is of a check standard")
            continue
        if sweeps[-1].is_second:
            continue  # it stands in the row of its part
        # Without a serial every recording is a part of its own.
        part = (text.get("part", ""), text["serial"]) if text.get("serial") else path
        earlier = last.pop(part, None)
        if earlier is not None:
            left_out.append(f"{text['serial']} was measured again: {Path(earlier.name).name} does not count")
        last[part] = one
    if any(isinstance(part, tuple) for part in last):
        # The screen records also before a part is named: that is of no part of a batch.
        nameless = [part for part in last if not isinstance(part, tuple)]
        left_out += [f"{Path(last.pop(part).name).name} names no serial" for part in nameless]
    if not last:
        raise BadInput(f"job {number!r} has no part with a sweep yet: {'; '.join(left_out)}")
    return BatchSweeps(tuple(last.values()), tuple(left_out), _beside(number, sweeps, where))


def _beside(number: str, sweeps: Sequence[batch.MeasuredPart], where: str | None) -> Beside:
    checks = {
        recording: verdict
        for part in dict.fromkeys(one.part for one in sweeps if one.is_check)
        for recording, verdict in batch.judged_checks(sweeps, batch.check_limits(where, part)).items()
    }
    measured = {one.serial for one in sweeps if one.of_batch and one.counts}
    return Beside(
        tuple(checks[one.recording_id] for one in sweeps if one.recording_id in checks),
        batch.suspects(sweeps, checks),
        batch.repeats(sweeps),
        tuple(one for one in batch.skipped_of_job(number, where) if one.serial not in measured),
    )


def names_a_part(names: Sequence[str]) -> bool:
    """Tell whether what was named is one part, and no file or folder."""
    return len(names) == 1 and not _is_file(names[0])


def _is_file(name: str) -> bool:
    return name.startswith(PRACTICE) or name.lower().endswith(SUFFIXES) or Path(name).exists()


def _of_part(asked: PageRequest, setup: Mapping[str, str], data_folder: Path) -> MeasuredPart:
    """Return the newest job of a part; without one its newest sweeps as found and as left."""
    part, number = asked.names[0], asked.job_number
    for one in job_file.jobs(data_folder):
        # A job's file says no serial: a serial asked for is found among recordings.
        ours = one.part == part and number in (None, one.number) and asked.serial is None
        if ours and one.last("as-left") is not None and not asked.before:
            return _of_job(job_file.folder_of(data_folder, one.part, one.number), setup)
    lying = _newest(part, asked, data_folder)
    stored = {
        stage: place.file()
        for stage, place in asked.stored.items()
        if stage not in lying or place.started > lying[stage][0]
    }
    newest = {stage: path for stage, (_, path) in lying.items()} | stored
    if not newest:
        known_as = f"{part!r}" + (f" {asked.serial!r}" if asked.serial else "")
        known_as += f" in job {number!r}" if number else ""
        raise BadInput(
            f"no recording of {known_as} as found or as left lies in {data_folder} or is in the store: name "
            "the files themselves, as fullturn report BEFORE AFTER; `fullturn history --by part` lists "
            "what was measured, `fullturn part list` the parts that are entered"
        )
    after = newest.get(Stage.AS_LEFT) or newest[Stage.AS_FOUND]
    first = asked.before or (newest.get(Stage.AS_FOUND) if after != newest.get(Stage.AS_FOUND) else None)
    return measured_part(
        analysed_sweep(str(after), setup), None if first is None else analysed_sweep(str(first), setup)
    )


def _newest(part: str, asked: PageRequest, data_folder: Path) -> dict[Stage, tuple[str, Path]]:
    """Return when the newest recording of each stage was begun, and its file, of those in the data folder."""
    found: dict[Stage, tuple[str, Path]] = {}
    for path in sorted([*data_folder.glob("*.mcap"), *unnamed_folder(data_folder).glob("*.mcap")]):
        try:
            reader = recording.RecordingReader(path)
        except (FullturnError, OSError):
            continue  # what cannot be read is no newest sweep of anything
        text = reader.setup
        stage = next((each for each in STAGES if text.get("stage") == each), None)
        if stage is None or text.get("part") != part or asked.job_number not in (None, text.get("job")):
            continue
        if asked.serial not in (None, text.get("serial", "")):
            continue
        begun = reader.origin.started
        if stage not in found or begun >= found[stage][0]:
            found[stage] = begun, path
    return found


# --- a job -------------------------------------------------------------------------------------------------


def _of_job(folder: Path, setup: Mapping[str, str]) -> MeasuredPart:
    """Return before and after of a job, with its end float and what every step between was told."""
    kept = job_file.read(folder)
    if kept is None:
        raise BadInput(f"{folder} holds no job: name the files of before and after")
    after = kept.last("as-left") or kept.last("as-found")
    if after is None:
        raise BadInput(f"the job in {folder} has no sweep in its own bearings yet: nothing to put on a page")
    before = kept.last("as-found") if after.step == "as-left" else None
    return measured_part(
        _excerpt(after, folder, setup),
        _excerpt(before, folder, setup) if before else None,
        steps=_steps(kept),
        end_float_mm=_end_float(kept, folder, setup),
    )


def _excerpt(one: JobSweep, folder: Path, setup: Mapping[str, str]) -> AnalysedSweep:
    return analysed(load_excerpt(job_file.recording_of(folder, one), one.id, setup), one.step)


def _end_float(kept: Job, folder: Path, setup: Mapping[str, str]) -> float | None:
    one = kept.last("end-float")
    if one is None:
        return None
    found = end_float(load_excerpt(job_file.recording_of(folder, one), one.id, setup).capture).end_float
    return None if found is None else found.value


def step_done(step: str, figure: str, said: str) -> StepDone:
    """Return a step with its figure in the unit of what was said, its one-word state in whole words."""
    unit = re.search(r"\d (mm|um|thou|in)\b", said)
    figure = re.sub(r"@ (\d+)$", r"@ \1 deg", figure)
    figure = re.sub(r"\d+\.\d+", lambda number: f"{number[0]} {unit[1]}", figure) if unit else figure
    number, _, state = figure.rpartition(" ")
    words = f"{number} ({STATES[state]})" if state in STATES else figure
    return StepDone(BY_KEY[step].short, words or "taken")


def _steps(kept: Job) -> Sequence[StepDone]:
    done = [step_done(one.step, one.figure, one.said) for one in kept.taken if one.step not in TOLD_ABOVE]
    gone = [
        StepDone(BY_KEY[step].short, words)
        for steps, words in ((kept.skipped, "skipped"), (kept.without, "gone on without"))
        for step in steps
    ]
    return [*done, *gone]
