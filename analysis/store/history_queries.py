"""What is asked of the history, as statements; a test holds each to an index.

Turns are listed by when they were recorded, numbers of the store between those of one second.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Select, exists, func, select

from analysis.store.plain import plain_text
from analysis.store.queries import LIVE, part_row
from analysis.store.rows import EVERYTHING, HistoryFilter
from analysis.store.schema import analyses, recordings, turns
from analysis.store.schema_of_register import gauges, parts

FIRST, LAST = "", "~"
"""Below and above every time that is written as text."""
NOT_DECIDED_ON = "none"
"""What is asked for where a recording was finished and nothing was decided."""
UNFINISHED = ("interrupted", "running")


def history(part: str | None, limit: int | None, only: HistoryFilter = EVERYTHING) -> Select[Any]:
    """Return the turns of one part, or all, newest first, with what was concluded of their recordings."""
    return (
        _newest(part, limit, only)
        .with_only_columns(
            turns.c.id,
            turns.c.part,
            turns.c.stage,
            turns.c.recorded,
            turns.c.tir_fit_mm,
            turns.c.high_point_deg,
            analyses.c.state,
            turns.c.recording_id,
            recordings.c.sha256,
            recordings.c.ended,
            turns.c.numerics,
            turns.c.mark,
            recordings.c.setup,
        )
        .join_from(
            turns,
            analyses,
            (turns.c.recording_id == analyses.c.recording_id) & (turns.c.edition == analyses.c.edition),
        )
        .join(recordings, turns.c.recording_id == recordings.c.recording_id)
    )


def turns_with_setup(part: str | None, limit: int) -> Select[Any]:
    """Return every column of the newest turns, newest first, with their set-up."""
    return (
        _newest(part, limit)
        .with_only_columns(*turns.c, recordings.c.setup)
        .join_from(turns, recordings, turns.c.recording_id == recordings.c.recording_id)
    )


def ids_of_newest(part: str | None, limit: int | None, only: HistoryFilter = EVERYTHING) -> Select[Any]:
    """Return the numbers of the turns that ``history`` lists, newest first, from the index alone."""
    return _newest(part, limit, only)


def history_of_turn(turn_id: int) -> Select[Any]:
    """Return one turn as ``history`` has it."""
    return history(None, None).where(turns.c.id == turn_id).order_by(None)


def _newest(part: str | None, limit: int | None, only: HistoryFilter = EVERYTHING) -> Select[Any]:
    # The time is always bound: an index of which only the edition is bound helps no question.
    wanted = (
        select(turns.c.id)
        .where(turns.c.edition == LIVE)
        .where(turns.c.recorded.between(only.since or FIRST, LAST))
        .order_by(turns.c.recorded.desc(), turns.c.id.desc())
    )
    if part is not None:
        wanted = wanted.where(turns.c.part == plain_text(part))
    wanted = wanted.where(*_narrowed(part, only))
    return wanted if limit is None else wanted.limit(max(0, limit))


def _narrowed(part: str | None, only: HistoryFilter) -> Iterator[ColumnElement[bool]]:
    if only.before is not None:
        yield turns.c.recorded < only.before
    if only.stage is not None:
        yield turns.c.stage == plain_text(only.stage)
    if only.job is not None:
        yield turns.c.job == plain_text(only.job)
    # Of each turn's own recording: by itself neither has an index that narrows.
    its, said = recordings.alias(), analyses.alias()
    mine = its.c.recording_id == turns.c.recording_id
    if only.serial is not None:
        of_serial = part_row(plain_text(part or ""), plain_text(only.serial))
        yield exists().where(mine & its.c.part_id.in_(of_serial.with_only_columns(parts.c.part_id)))
    if only.gauge is not None:
        rows = select(gauges.c.gauge_id).where(gauges.c.id == plain_text(only.gauge))
        yield exists().where(mine & its.c.gauge_id.in_(rows))
    if only.operator is not None:
        yield exists().where(mine & (its.c.operator == plain_text(only.operator)))
    if only.state is not None:
        ended = "closed" if only.state == NOT_DECIDED_ON else only.state
        state = None if only.state in (NOT_DECIDED_ON, *UNFINISHED) else only.state
        concluded = (
            (said.c.recording_id == turns.c.recording_id)
            & (said.c.edition == LIVE)
            & (said.c.state.is_(None) if state is None else said.c.state == state)
        )
        if only.state not in UNFINISHED:
            yield exists().where(concluded)
        if state is None:
            yield exists().where(mine & (its.c.ended == ended))


def sweeps(recording_ids: Sequence[str]) -> Select[Any]:
    """Return these recordings with the newest analysis of each, oldest first."""
    later = analyses.alias()
    newest = (
        select(func.max(later.c.edition))
        .where(later.c.recording_id == recordings.c.recording_id)
        .correlate(recordings)
        .scalar_subquery()
    )
    return (
        select(
            recordings.c.recording_id,
            recordings.c.file,
            recordings.c.sha256,
            recordings.c.started,
            recordings.c.part,
            func.coalesce(parts.c.serial, "").label("serial"),
            recordings.c.job,
            recordings.c.stage,
            recordings.c.operator,
            recordings.c.ended,
            gauges.c.id.label("gauge"),
            recordings.c.gauge_id,
            gauges.c.due.label("gauge_due"),
            recordings.c.setup,
            analyses.c.edition,
            analyses.c.state,
            analyses.c.numerics,
            analyses.c.code_version,
            analyses.c.result,
            analyses.c.result_sha256,
        )
        .join_from(
            recordings,
            analyses,
            (recordings.c.recording_id == analyses.c.recording_id) & (analyses.c.edition == newest),
        )
        .outerjoin(parts, recordings.c.part_id == parts.c.part_id)
        .outerjoin(gauges, recordings.c.gauge_id == gauges.c.gauge_id)
        .where(recordings.c.recording_id.in_(recording_ids))
        .order_by(recordings.c.started, recordings.c.recording_id)
    )
