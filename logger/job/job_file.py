"""Where jobs lie: a folder each in the data folder, ``job.json`` and its recordings beside it.

The file is there whole or not at all. Recordings are second entries of those in the folder of unnamed ones,
so that a job's sweeps stay when those are cleared away.
"""

import json
import os
import re
import shutil
import zlib
from dataclasses import asdict
from pathlib import Path
from typing import Any

from analysis.errors import BadInput
from logger.job.job import Job, JobSweep
from logger.job.steps import BY_KEY, DONE

FORMAT = 1
FOLDER, FILE = "jobs", "job.json"


def folder_of(data_folder: Path, part: str, number: str) -> Path:
    """Return the folder of a job; no name leads out of it, and no two jobs share one."""
    words = [re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:40] for text in (part, number)]
    check = zlib.crc32(f"{part}\n{number}".encode()) & 0xFFFF
    return data_folder / FOLDER / "-".join([*(word for word in words if word), f"{check:04x}"])


def read(folder: Path) -> Job | None:
    """Return the job that lies there; None where there is none.

    Raises BadInput for a damaged file or one of a newer program.
    """
    path = folder / FILE
    try:
        written_job = json.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError, json.JSONDecodeError) as error:
        raise BadInput(f"{path} cannot be read as a job ({error}): correct it or move it away") from error
    written = written_job.get("format") if isinstance(written_job, dict) else None
    if not isinstance(written, int):
        raise BadInput(f"{path} is no job: it has no format number; move it away")
    if written > FORMAT:
        raise BadInput(
            f"{path} is a job of format {written}, this program reads up to {FORMAT}: use a newer one"
        )
    try:
        return _job_of(written_job)
    except (KeyError, TypeError, ValueError) as error:
        raise BadInput(f"{path} is damaged ({error}): correct it or move it away") from error


def _job_of(written_job: dict[str, Any]) -> Job:
    job = Job(
        part=str(written_job["part"]),
        number=str(written_job["number"]),
        at=str(written_job["at"]),
        attempt=int(written_job["attempt"]),
        taken=tuple(JobSweep(**one) for one in written_job["taken"]),
        skipped=tuple(map(str, written_job["skipped"])),
        without=tuple(map(str, written_job.get("without", ()))),
        acknowledged=tuple(map(str, written_job["acknowledged"])),
        values={str(key): str(value) for key, value in written_job["values"].items()},
    )
    unknown = {job.at, *job.skipped, *job.without, *(one.step for one in job.taken)} - {*BY_KEY, DONE}
    if unknown:
        raise ValueError(f"unknown step {', '.join(sorted(unknown))}")
    return job


def jobs(data_folder: Path) -> list[Job]:
    """Return the jobs that lie there and can be read, the one written last first; none put aside."""
    found: list[tuple[float, Job]] = []
    for path in (data_folder / FOLDER).glob(f"*/{FILE}"):
        try:
            job = read(path.parent)
            if job is not None and path.parent == folder_of(data_folder, job.part, job.number):
                found.append((path.stat().st_mtime, job))
        except (BadInput, OSError):
            continue  # damaged, or gone meanwhile: it is named when it is opened
    return [job for _, job in sorted(found, key=lambda each: -each[0])]


def write(folder: Path, job: Job) -> None:
    """Keep a job. Raises BadInput where that cannot be done."""
    path = folder / FILE
    new = path.with_suffix(".new")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        new.write_text(json.dumps(_written(job), indent=1, ensure_ascii=False), "utf-8")
        new.replace(path)
    except OSError as error:
        raise BadInput(f"{path} cannot be written ({error.strerror}): the job is not kept") from error


def _written(job: Job) -> dict[str, Any]:
    """Return a job as its file has it; steps gone on without are named only where there are any."""
    written = {"format": FORMAT, **asdict(job)}
    return {key: value for key, value in written.items() if key != "without" or value}


def put_away(folder: Path) -> Path | None:
    """Put a job aside so that it can begin anew; return where it lies now, None where there was none."""
    if not (folder / FILE).exists():
        return None
    number = 1
    while (aside := folder.with_name(f"{folder.name}.{number}")).exists():
        number += 1
    try:
        return folder.rename(aside)
    except OSError as error:
        raise BadInput(f"{folder} cannot be put aside: {error.strerror}") from error


def keep_recording(recording: Path, folder: Path) -> str:
    """Let a recording, also one still being written, stay with the job; return its name there.

    Raises BadInput where it can neither be entered nor copied.
    """
    wanted = folder / recording.name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if wanted.exists():
            if not os.path.samefile(wanted, recording):
                shutil.copy2(recording, wanted)
            return wanted.name
        try:
            os.link(recording, wanted)
        except OSError:
            shutil.copy2(recording, wanted)  # no second entries here: what there is so far
    except OSError as error:
        raise BadInput(f"{recording} cannot be kept with the job: {error.strerror}") from error
    return wanted.name


def recording_of(folder: Path, sweep: JobSweep) -> Path:
    """Return where the recording of a sweep lies."""
    return folder / Path(sweep.file).name
