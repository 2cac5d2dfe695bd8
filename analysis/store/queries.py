"""Questions that are asked of the store, as statements; a test holds each to an index."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Select, and_, exists, func, select

from analysis.store.schema import analyses, recordings, turn_notes, turn_orders, turns
from analysis.store.schema_of_evidence import notes, reports, standards
from analysis.store.schema_of_register import gauges, jobs, parts

LIVE = 0
"""The edition made while recording."""
PAGE = 500
"""So many rows are read at a time where all are asked for."""


def orders_of(ids: Sequence[int]) -> Select[Any]:
    """Return the vectors of these turns by order."""
    return select(turn_orders).where(turn_orders.c.turn_id.in_(ids)).order_by(turn_orders.c.n)


def notes_of(ids: Sequence[int]) -> Select[Any]:
    """Return the notes of these turns, oldest first."""
    return select(turn_notes).where(turn_notes.c.turn_id.in_(ids)).order_by(turn_notes.c.id)


def recorded_turn(recording_id: str, turn: int) -> Select[Any]:
    """Return the number in the store of one turn of a recording, part, stage and job."""
    return (
        select(turns.c.id)
        .where(turns.c.recording_id == recording_id)
        .where(turns.c.edition == LIVE)
        .where(turns.c.turn == turn)
    )


def begun_recording(recording_id: str) -> Select[Any]:
    """Return what a recording's turns take over from it, locked: of two that add it the second one waits."""
    return (
        select(recordings.c.part, recordings.c.stage, recordings.c.job)
        .where(recordings.c.recording_id == recording_id)
        .with_for_update()
    )


def recording_to_finish(recording_id: str) -> Select[Any]:
    """Return how far a recording is concluded, locked."""
    return (
        select(
            recordings.c.sha256,
            recordings.c.closed,
            recordings.c.ended,
            recordings.c.started,
            recordings.c.setup,
            recordings.c.operator,
            analyses.c.state,
            analyses.c.result,
            analyses.c.code_version,
            analyses.c.options,
            analyses.c.numerics,
        )
        .join_from(recordings, analyses, recordings.c.recording_id == analyses.c.recording_id)
        .where((analyses.c.recording_id == recording_id) & (analyses.c.edition == LIVE))
        .with_for_update()
    )


def newest_analysis(recording_id: str) -> Select[Any]:
    """Return the newest edition of a recording and what it concluded, with the recording locked."""
    return (
        select(analyses.c.edition, analyses.c.result, recordings.c.sha256, recordings.c.setup)
        .join_from(recordings, analyses, recordings.c.recording_id == analyses.c.recording_id)
        .where(recordings.c.recording_id == recording_id)
        .order_by(analyses.c.edition.desc())
        .limit(1)
        .with_for_update()
    )


def stored_recording(recording_id: str) -> Select[Any]:
    """Return checksum, state and number of turns of a recording."""
    counted = (
        select(func.count())
        .select_from(turns)
        .where((turns.c.recording_id == recording_id) & (turns.c.edition == LIVE))
        .scalar_subquery()
    )
    return (
        select(recordings.c.sha256, analyses.c.state, counted)
        .join_from(recordings, analyses, recordings.c.recording_id == analyses.c.recording_id)
        .where((recordings.c.recording_id == recording_id) & (analyses.c.edition == LIVE))
    )


def recordings_of_part(part: str) -> Select[Any]:
    """Return set-up and stage of every recording with a turn of a part, newest first."""
    return (
        select(recordings.c.setup, recordings.c.stage)
        .where(recordings.c.part == part)
        .where(exists().where(turns.c.recording_id == recordings.c.recording_id))
        .order_by(recordings.c.started.desc())
    )


def files(after: str) -> Select[Any]:
    """Return a page of all recordings: where each lies, its checksum and how it ended."""
    return _files().where(recordings.c.recording_id > after).order_by(recordings.c.recording_id).limit(PAGE)


def _files() -> Select[Any]:
    return select(recordings.c.recording_id, recordings.c.file, recordings.c.sha256, recordings.c.ended)


def file_of_turn(turn_id: int) -> Select[Any]:
    """Return the recording that a turn is of, as ``files`` has it."""
    return (
        _files().join(turns, turns.c.recording_id == recordings.c.recording_id).where(turns.c.id == turn_id)
    )


def files_of_identity(beginning: str, limit: int) -> Select[Any]:
    """Return the recordings from this identity on, as ``files`` has them: those that begin so come first."""
    return (
        _files()
        .where(recordings.c.recording_id >= beginning)
        .order_by(recordings.c.recording_id)
        .limit(limit)
    )


def files_of_stage(part: str, stage: str) -> Select[Any]:
    """Return the recordings of a part at a stage, newest first: as ``files``, and the part's row."""
    return (
        _files()
        .add_columns(recordings.c.part_id)
        .where((recordings.c.part == part) & (recordings.c.stage == stage))
        .order_by(recordings.c.started.desc(), recordings.c.recording_id)
    )


def files_of_sha256(sha256: str) -> Select[Any]:
    """Return the recordings of one file's checksum."""
    return select(recordings.c.recording_id, recordings.c.file).where(recordings.c.sha256 == sha256)


def gauge_rows(name: str, kind: str) -> Select[Any]:
    """Return every row of one gauge, newest first."""
    return (
        select(gauges)
        .where((gauges.c.id == name) & (gauges.c.kind == kind))
        .order_by(gauges.c.gauge_id.desc())
    )


def recordings_by_gauge(gauge_id: int) -> Select[Any, Any, Any]:
    """Return how many recordings one row of a gauge was used for, and the first and last of them."""
    return select(func.count(), func.min(recordings.c.started), func.max(recordings.c.started)).where(
        recordings.c.gauge_id == gauge_id
    )


def part_row(number: str, serial: str) -> Select[Any]:
    """Return one part."""
    return select(parts).where((parts.c.number == number) & (parts.c.serial == serial))


def parts_of_number(number: str) -> Select[Any]:
    """Return the parts of one number by serial."""
    return select(parts).where(parts.c.number == number).order_by(parts.c.serial)


def newest_number(year: int) -> Select[Any]:
    """Return the last number of a record that was issued in a year."""
    within = (reports.c.number > f"{year}-") & (reports.c.number < f"{year}.")
    return select(reports.c.number).where(within).order_by(reports.c.number.desc()).limit(1)


def issued(number: str) -> Select[Any]:
    """Return one record that was issued."""
    return select(reports).where(reports.c.number == number)


def job_row(number: str) -> Select[Any]:
    """Return one job."""
    return select(jobs).where(jobs.c.number == number)


def sweeps_of_part(part_id: int) -> Select[Any]:
    """Return the recordings of one part, newest first, with what was concluded of each."""
    return _sweeps().where(recordings.c.part_id == part_id)


def sweeps_of_job(job_id: int) -> Select[Any]:
    """Return the recordings of one job, newest first, with what was concluded of each."""
    return _sweeps().where(recordings.c.job_id == job_id)


def _sweeps() -> Select[Any]:
    return (
        select(
            recordings.c.recording_id,
            recordings.c.started,
            recordings.c.part,
            recordings.c.job,
            recordings.c.stage,
            recordings.c.ended,
            analyses.c.state,
            analyses.c.value_mm,
            analyses.c.high_point_deg,
        )
        .join_from(
            recordings,
            analyses,
            and_(recordings.c.recording_id == analyses.c.recording_id, analyses.c.edition == LIVE),
        )
        .order_by(recordings.c.started.desc())
    )


# --- whole tables: of things that are few, or only counted -----------------------------------------------


def all_gauges() -> Select[Any]:
    """Return every row of every gauge."""
    return select(gauges).order_by(gauges.c.id, gauges.c.kind, gauges.c.gauge_id)


def all_parts() -> Select[Any]:
    """Return every part, with how many recordings it has and when the last was begun."""
    counted = select(func.count()).where(recordings.c.part_id == parts.c.part_id).scalar_subquery()
    last = (
        select(func.max(recordings.c.started))
        .where(recordings.c.part_id == parts.c.part_id)
        .scalar_subquery()
    )
    return select(parts, counted.label("recordings"), last.label("last")).order_by(
        parts.c.number, parts.c.serial
    )


def all_standards() -> Select[Any]:
    """Return every row of limits of check standards, newest first, with number and serial of the part."""
    return (
        select(standards, parts.c.number, parts.c.serial)
        .join_from(standards, parts, standards.c.part_id == parts.c.part_id)
        .order_by(standards.c.standard_id.desc())
    )


def notes_about(about: str, about_id: str) -> Select[Any]:
    """Return the notes about one thing, oldest first."""
    return (
        select(notes).where(notes.c.about == about).where(notes.c.about_id == about_id).order_by(notes.c.id)
    )


def all_jobs() -> Select[Any]:
    """Return every job, with how many recordings it has and when the last was begun."""
    counted = select(func.count()).where(recordings.c.job_id == jobs.c.job_id).scalar_subquery()
    last = (
        select(func.max(recordings.c.started)).where(recordings.c.job_id == jobs.c.job_id).scalar_subquery()
    )
    return select(jobs, counted.label("recordings"), last.label("last")).order_by(jobs.c.number)


def counted(table: Any) -> Select[Any]:
    """Return how many rows a table has."""
    return select(func.count()).select_from(table)


def ended_counted() -> Select[Any]:
    """Return how many recordings ended in each way."""
    return select(recordings.c.ended, func.count()).group_by(recordings.c.ended)
