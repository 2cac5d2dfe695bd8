"""Rows written inside one transaction: a recording begun, a turn added, a recording finished, a turn noted.

Rows are added, never changed; only the closing fields of a recording are written once, when it ends.
"""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, delete, insert, update

from analysis.errors import StoreError
from analysis.store import queries
from analysis.store.conversion import order_rows
from analysis.store.plain import plain_json, plain_number, plain_text
from analysis.store.queries import LIVE
from analysis.store.register_writing import gauge_used, job_id_of, operator_known, part_id_of
from analysis.store.rows import ClosingFacts, RecordingRow, TurnRow
from analysis.store.said_by_result import analysis_columns, decision_columns, left_out_columns
from analysis.store.said_by_setup import said_by_setup
from analysis.store.schema import analyses, recordings, turn_notes, turn_orders, turns
from analysis.store.schema_of_evidence import decisions, environment, left_out

RUNNING, CLOSED, INTERRUPTED = "running", "closed", "interrupted"
"""How a recording ended; one whose program was killed stays ``running`` until its file is added."""


def begin_recording(connection: Connection, row: RecordingRow) -> None:
    """Add a recording that is beginning, with the part, job, gauge and operator that its set-up names."""
    key, started = plain_text(row.recording_id), plain_text(row.started)
    if connection.execute(queries.begun_recording(key)).first() is not None:
        return
    said = said_by_setup(row.setup, plain_text(row.part), plain_text(row.job))
    operator_known(connection, said.operator)
    connection.execute(
        insert(recordings).values(
            recording_id=key,
            file=plain_text(row.file),
            started=started,
            part=plain_text(row.part),
            job=plain_text(row.job),
            stage=plain_text(row.stage),
            surface=plain_text(row.surface),
            setup=plain_json(row.setup),
            code_version=plain_text(row.code_version),
            ended=RUNNING,
            part_id=part_id_of(connection, said.part),
            job_id=job_id_of(connection, said.job),
            gauge_id=gauge_used(connection, said.gauge, started, said.operator),
            **said.recording,
        )
    )
    if said.celsius is not None:
        connection.execute(
            insert(environment).values(
                recording_id=key, at=started, what="part", celsius=said.celsius, source="typed"
            )
        )
    connection.execute(
        insert(analyses).values(
            recording_id=key, edition=LIVE, code_version=plain_text(row.code_version), options={}
        )
    )


def add_turn(connection: Connection, row: TurnRow, unknown: StoreError) -> int:
    """Add one turn with its vectors; return its number. Raises ``unknown`` where no recording was begun."""
    vectors = order_rows(row)
    key = plain_text(row.recording_id)
    owner = connection.execute(queries.begun_recording(key)).first()
    if owner is None:
        raise unknown
    there = connection.execute(queries.recorded_turn(key, int(row.turn))).scalar()
    if there is not None:
        return int(there)
    added = connection.execute(
        insert(turns).values(
            recording_id=key,
            edition=LIVE,
            turn=int(row.turn),
            part=owner.part if row.part is None else plain_text(row.part),
            stage=owner.stage if row.stage is None else plain_text(row.stage),
            job=owner.job,
            direction=int(row.direction),
            recorded=plain_text(row.recorded),
            samples=int(row.samples),
            gauge_values=int(row.values),
            coverage=plain_number(row.coverage),
            largest_gap_deg=plain_number(row.largest_gap_deg),
            rpm=plain_number(row.rpm),
            tir_raw_mm=plain_number(row.tir_raw_mm),
            tir_fit_mm=plain_number(row.tir_fit_mm),
            tir_first_mm=plain_number(row.tir_first_mm),
            high_point_deg=plain_number(row.high_point_deg),
            highest_order=int(row.highest_order),
            code_version=plain_text(row.code_version),
            options=plain_json(row.options),
            numerics=row.numerics,
            mark=None if row.mark is None else plain_text(row.mark),
        )
    ).inserted_primary_key
    assert added is not None  # a single insert always has one
    turn_id = int(added[0])
    if vectors:
        connection.execute(insert(turn_orders), [{"turn_id": turn_id, **vector} for vector in vectors])
    return turn_id


def add_note(
    connection: Connection, turn_id: int, kind: str, recorded: str, reason: str, who: str | None
) -> None:
    """Add a note of a turn."""
    connection.execute(
        insert(turn_notes).values(
            turn_id=int(turn_id),
            kind=kind,
            reason=plain_text(reason),
            recorded=plain_text(recorded),
            who=None if who is None else plain_text(who),
        )
    )


def conclude(
    connection: Connection,
    key: str,
    before: Any,
    closing: Mapping[str, Any],
    concluded: Mapping[str, Any],
    closing_facts: ClosingFacts,
) -> None:
    """Write the closing fields of a recording and all that is told of its result.

    Parameters: ``before`` the row of ``recording_to_finish``; ``closing`` and ``concluded`` what is compared
    where it is finished again; ``closing_facts`` what else is known at the end.
    """
    live = (analyses.c.recording_id == key) & (analyses.c.edition == LIVE)
    made = plain_text(closing_facts.ended_at or before.started)
    connection.execute(
        update(recordings)
        .where(recordings.c.recording_id == key)
        .values(
            **closing,
            ended_at=None if closing_facts.ended_at is None else plain_text(closing_facts.ended_at),
            bytes=closing_facts.bytes,
            board_serial=closing_facts.board_serial,
            firmware=closing_facts.firmware,
            practice=closing_facts.practice,
        )
    )
    result = concluded["result"]
    connection.execute(
        update(analyses)
        .where(live)
        .values(
            **concluded,
            made=made,
            who=before.operator,
            why="recorded",
            blas_threads=closing_facts.blas_threads,
            **analysis_columns(result),
        )
    )
    for table in (decisions, left_out):
        # of a recording that was interrupted and is finished now
        connection.execute(delete(table).where((table.c.recording_id == key) & (table.c.edition == LIVE)))
    _add_what_was_concluded(connection, key, LIVE, before.setup, before.operator, made, result, closing_facts)


def add_analysis(
    connection: Connection, key: str, before: Any, concluded: Mapping[str, Any], closing_facts: ClosingFacts
) -> None:
    """Add one edition after ``before``, the row of ``newest_analysis``; its turns stand in its result."""
    edition, result = before.edition + 1, concluded["result"]
    connection.execute(
        insert(analyses).values(
            recording_id=key,
            edition=edition,
            replaces=before.edition,
            blas_threads=closing_facts.blas_threads,
            **concluded,
            **analysis_columns(result),
        )
    )
    _add_what_was_concluded(
        connection, key, edition, before.setup, None, concluded["made"], result, closing_facts
    )


def _add_what_was_concluded(
    connection: Connection,
    key: str,
    edition: int,
    setup: Mapping[str, str],
    who: str | None,
    made: str,
    result: Mapping[str, Any],
    closing_facts: ClosingFacts,
) -> None:
    said = said_by_setup(setup, "", "")
    decided = decision_columns(
        result,
        made=made,
        limit_source=said.limit_source,
        rule=closing_facts.rule,
        rule_text=closing_facts.rule_text,
        dof=plain_number(closing_facts.decision_dof),
    )
    excluded = [
        *left_out_columns(result, who=who, made=made),
        *({**one.as_columns(), "who": who} for one in closing_facts.turns_left_out),
    ]
    for table, rows in ((decisions, decided), (left_out, excluded)):
        if rows:
            connection.execute(
                insert(table), [{"recording_id": key, "edition": edition, **row} for row in rows]
            )
