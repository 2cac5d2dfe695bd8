"""Words that can be had only from inside: the one place of these tests that knows where a module lies.

A module that moves, or a class that gets another name, is followed here and nowhere else in this folder.
"""

import ast
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import Any

import made_histories
from made_histories import BASELINE
from places import ROOT

from analysis.capture import events
from analysis.capture.event_words import decode, encode, key_of
from analysis.setup import BY_KEY
from analysis.store import RecordingRow, open_store
from logger.acquisition.recording_files import unnamed_folder
from logger.commands import TABLE as COMMANDS
from logger.job import job_file as job_files
from logger.job.job import Job
from logger.job.steps import DONE, STEPS
from logger.live.tools.indicator_check_run import STEPS as INDICATOR_CHECKS
from logger.recording import RecordingReader, RecordingWriter
from logger.settings.saved_setups import file_of
from logger.stream import LinkBytes, RecordedEvent, SetupChange
from logger.studies.cut_study import CARD_LENGTHS

__all__ = ["COMMANDS"]

SETUP_KEYS = tuple(BY_KEY)
INDICATOR_CHECK_WORDS = tuple(name for name, _ in INDICATOR_CHECKS)


def add_checks(store: Path, month: int, days: int, away_mm: float = 0.0) -> None:
    """Put checks of a standard into a store, one a day, the last one so far away, with a gauge past due."""
    with open_store(store) as opened:
        z_mm = [*BASELINE[: days - 1], BASELINE[days - 1] + away_mm]
        made_histories.add_checks(opened, z_mm, month, gauge_id="DI-07", gauge_due="2026-01-31")


def read_jobs(data_folder: Path) -> list[Job]:
    """Return the jobs that the program finds in a data folder."""
    return job_files.jobs(data_folder)


def write_job(data_folder: Path, job: Job) -> Path:
    """Keep a job in a data folder; return its file."""
    folder = job_files.folder_of(data_folder, job.part, job.number)
    job_files.write(folder, job)
    return folder / job_files.FILE


def gone_on_without(job: Job) -> Job:
    """Return a job that went on without a step: what its file names only then is named."""
    return replace(job, without=(STEPS[0].key,))


def job_words() -> Iterator[str]:
    """Yield the words a job file may hold: where a job stands, what was acknowledged, what was entered."""
    yield from (f"step: {step.key}" for step in STEPS)
    yield f"step: {DONE}"
    cautions = dict.fromkeys(key for step in STEPS for key in step.cautions)
    yield from (f"acknowledged: {key}" for key in cautions)
    yield from (f"values: {key}" for key in CARD_LENGTHS)


def setup_file(config_folder: Path, kind: str, name: str) -> Path:
    """Return where the set-up of a rig or a part is kept."""
    return file_of(config_folder, kind, name)


def folder_of_unnamed(data_folder: Path) -> Path:
    """Return where recordings lie that nobody named."""
    return unnamed_folder(data_folder)


def add_note(store: Path, kind: str) -> None:
    """Add a note to the first turn of a store; raises what the program raises for a kind it does not know."""
    with open_store(store) as opened:
        opened.add_note(1, kind, "2024-03-01T09:30:00Z")


def begin_recording(store: Path) -> None:
    """Begin a recording in a store, and never finish it."""
    row = RecordingRow("r-1", "a.mcap", "2026-01-02T03:04:05Z", "flange", "7", "other", "face", {}, "0.1.0")
    with open_store(store) as opened:
        opened.begin_recording(row)


def stored_turns(store: Path) -> list[Any]:
    """Return the turns of a store, newest first, with their orders and notes."""
    with open_store(store) as opened:
        return list(opened.stored_turns())


def copy_recording(
    source: Path, target: Path, more: Sequence[Mapping[str, Any]] = ()
) -> list[dict[str, Any]]:
    """Read a recording and write what was read, and more events, to a new one; return the events read."""
    reader = RecordingReader(source)
    items = list(reader.items())
    added = [RecordedEvent(items[-1].host, decode(one)) for one in more]
    origin = reader.origin
    with RecordingWriter(
        target,
        setup=reader.setup,
        recording_id=origin.recording_id,
        started=origin.started,
        version=origin.fullturn,
        clock=lambda: items[-1].host,
        encodings=reader.encodings,
    ) as writer:
        for item in (*items, *added):
            if isinstance(item, LinkBytes):
                writer.link_bytes(item)
            elif isinstance(item, RecordedEvent):
                writer.event(item)
            elif isinstance(item, SetupChange):
                writer.setup(item)
    return [encode(item.event) for item in items if isinstance(item, RecordedEvent)]


# --- what the sources say, wherever their modules lie --------------------------------------------------


@cache
def _trees() -> tuple[ast.Module, ...]:
    paths = [path for package in ("analysis", "logger") for path in sorted((ROOT / package).rglob("*.py"))]
    return tuple(ast.parse(path.read_text(encoding="utf-8")) for path in paths)


@cache
def texts_of_sources() -> frozenset[str]:
    """Return every text that stands in the sources of both packages."""
    return frozenset(
        node.value
        for tree in _trees()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


def environment_variables() -> set[str]:
    """Return the names of our own environment variables that stand in the sources."""
    return {name for text in texts_of_sources() for name in re.findall(r"\b_?FULLTURN_[A-Z]+\b", text)}


def event_words() -> Iterator[str]:
    """Yield every event the program knows, each with the keys of its fields, in the order they are written."""
    for word, kinds in events.REGISTRY.items():
        keys = dict.fromkeys(key_of(one) for kind in kinds for one in fields(kind))
        yield " ".join((f"{word}:", *(key for key in keys if key != events.WORD)))
