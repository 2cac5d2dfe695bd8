"""What has been measured in a job: its recordings in the data folder, each with what it was told."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from analysis import store
from analysis.errors import BadInput, FullturnError, StoreError
from logger import recording
from logger.acquisition import unnamed_folder
from logger.batch.sweep_of_part import MeasuredPart, measured_part
from logger.inputs import analysed_sweep
from logger.reports import sweep


@dataclass(frozen=True)
class JobSweeps:
    """The sweeps of a job by when they were begun, and recordings of it that hold none."""

    sweeps: tuple[MeasuredPart, ...]
    without: tuple[str, ...] = ()
    """A line for each recording of it that holds no sweep, with the reason."""


def recordings_of_job(number: str, data_folder: Path) -> list[Path]:
    """Return the recordings of a job in the data folder, named and unnamed, by when they were begun.

    One that is there under two names is listed once.
    """
    found: dict[str, tuple[str, Path]] = {}
    for path in sorted([*data_folder.glob("*.mcap"), *unnamed_folder(data_folder).glob("*.mcap")]):
        try:
            reader = recording.RecordingReader(path)
        except (FullturnError, OSError):
            continue  # what cannot be read is of no job
        if reader.setup.get("job") == number:
            found.setdefault(reader.origin.recording_id or str(path), (reader.origin.started, path))
    return [path for _, path in sorted(found.values())]


def sweeps_of_job(number: str, data_folder: Path, where: str | None) -> JobSweeps:
    """Return what was measured in a job; ``where``: the store that tells quickly what it was told.

    What the store does not have is analysed from its recording.
    """
    paths = recordings_of_job(number, data_folder)
    known = _known_results(paths, where) if paths and where else {}
    sweeps: list[MeasuredPart] = []
    without: list[str] = []
    for path in paths:
        result = known.get(recording.RecordingReader(path).origin.recording_id)
        try:
            sweeps.append(measured_part(result or _analysed(path)))
        except FullturnError as error:
            without.append(f"{path.name}: {error}")
    return JobSweeps(tuple(sweeps), tuple(without))


def _analysed(path: Path) -> Mapping[str, Any]:
    one = analysed_sweep(str(path), {})
    return sweep.as_json(one.result, one.origin, one.capture.link)


def _known_results(paths: list[Path], where: str) -> Mapping[str, Mapping[str, Any]]:
    """Return the object of each recording that the store has finished, by identity."""
    if "://" not in where and not Path(where).exists():
        return {}
    try:
        with store.open_store(where) as opened:
            found = opened.sweeps(recording.RecordingReader(path).origin.recording_id for path in paths)
    except (StoreError, BadInput):
        return {}  # it is analysed from its recording
    return {one.recording_id: one.result for one in found if one.result is not None}
