"""The store in use: a recording begun, its turns added, the recording finished, the history listed.

Rows are added, never changed; only the closing fields of a recording are written once, when it ends.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from types import TracebackType
from typing import Any, Self

from sqlalchemy import Connection, Engine, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from analysis.errors import StoreError
from analysis.store.conversion import order_rows, stored_turn
from analysis.store.failures import as_store_error
from analysis.store.plain import plain_json, plain_number, plain_text
from analysis.store.rows import HistoryRow, RecordingRow, StoredRecording, StoredTurn, TurnRow
from analysis.store.schema import analyses, recordings, turn_notes, turn_orders, turns

LIVE = 0
"""The edition made while recording."""

NOTES = ("star", "star-undone", "left-out", "left-out-undone")

STATES = ("within", "over", "undecided", None)

RUNNING, CLOSED, INTERRUPTED = "running", "closed", "interrupted"
"""How a recording ended; one whose program was killed stays ``running`` until its file is added."""


class Store:
    """An open store, from ``open_store``; a context manager. May be used from several threads.

    Every failure is a StoreError, and what was being written then is not there at all.
    """

    def __init__(self, engine: Engine, name: str) -> None:
        self.name = name
        self._engine = engine
        self._open = True

    def begin_recording(self, row: RecordingRow) -> None:
        """Add a recording that is beginning; one that is there already stays as it is."""
        with self._transaction("beginning a recording", writes=True) as connection:
            key = plain_text(row.recording_id)
            known = select(recordings.c.recording_id).where(recordings.c.recording_id == key)
            if connection.execute(known).first() is not None:
                return
            try:
                with connection.begin_nested():
                    connection.execute(
                        insert(recordings).values(
                            recording_id=key,
                            file=plain_text(row.file),
                            started=plain_text(row.started),
                            part=plain_text(row.part),
                            job=plain_text(row.job),
                            stage=plain_text(row.stage),
                            surface=plain_text(row.surface),
                            setup=plain_json(row.setup),
                            code_version=plain_text(row.code_version),
                            ended=RUNNING,
                        )
                    )
            except IntegrityError:
                return  # on a server another program may have begun it since it was looked for
            connection.execute(
                insert(analyses).values(
                    recording_id=key, edition=LIVE, code_version=plain_text(row.code_version)
                )
            )

    def add_turn(self, row: TurnRow) -> int:
        """Add one turn with its vectors, both or neither, and return its number in the store.

        A turn of this recording that is there already stays as it is: adding it again is harmless.
        Raises StoreError where the recording was never begun, or a component is missing or not finite.
        """
        vectors = order_rows(row)
        with self._transaction("adding a turn", writes=True) as connection:
            key = plain_text(row.recording_id)
            # Locked: of two that add one recording at a time the second finds the first one's turns.
            owner = connection.execute(
                select(recordings.c.part, recordings.c.stage)
                .where(recordings.c.recording_id == key)
                .with_for_update()
            ).first()
            if owner is None:
                raise self._unknown(key)
            there = connection.execute(
                select(turns.c.id)
                .where(turns.c.recording_id == key)
                .where(turns.c.edition == LIVE)
                .where(turns.c.turn == int(row.turn))
            ).scalar()
            if there is not None:
                return int(there)
            added = connection.execute(
                insert(turns).values(
                    recording_id=key,
                    edition=LIVE,
                    turn=int(row.turn),
                    part=owner.part if row.part is None else plain_text(row.part),
                    stage=owner.stage if row.stage is None else plain_text(row.stage),
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
                connection.execute(
                    insert(turn_orders), [{"turn_id": turn_id, **vector} for vector in vectors]
                )
            return turn_id

    def finish_recording(
        self,
        recording_id: str,
        sha256: str,
        closed: bool,
        state: str | None,
        result: Mapping[str, Any],
        code_version: str,
        *,
        options: Mapping[str, Any] | None = None,
        numerics: int | None = None,
    ) -> None:
        """Write what is known once a recording has ended: its checksum and what was concluded.

        Parameters: ``closed`` whether the file has its closing records, ``state`` ``within``, ``over``,
        ``undecided`` or None (nothing decided), ``result`` the object of ``sweep``, ``options`` what the
        analysis was asked for, ``numerics`` the version of its numbers. A recording finished with ``closed``
        false may be finished again; one that is closed takes only the same again. Raises StoreError
        otherwise, and where it was never begun.
        """
        if state not in STATES:
            raise StoreError(
                f"store {self.name!r}: found state {state!r}, expected within, over, undecided or None: "
                "give one of these"
            )
        ended = CLOSED if closed else INTERRUPTED
        closing = {"sha256": plain_text(sha256), "closed": bool(closed), "ended": ended}
        concluded = {
            "state": None if state is None else plain_text(state),
            "result": plain_json(result),
            "code_version": plain_text(code_version),
            "options": plain_json(options),
            "numerics": numerics,
        }
        with self._transaction("finishing a recording", writes=True) as connection:
            key = plain_text(recording_id)
            live = (analyses.c.recording_id == key) & (analyses.c.edition == LIVE)
            before = connection.execute(
                select(
                    recordings.c.sha256,
                    recordings.c.closed,
                    recordings.c.ended,
                    analyses.c.state,
                    analyses.c.result,
                    analyses.c.code_version,
                    analyses.c.options,
                    analyses.c.numerics,
                )
                .join_from(recordings, analyses, recordings.c.recording_id == analyses.c.recording_id)
                .where(live)
                .with_for_update()
            ).first()
            if before is None:
                raise self._unknown(key)
            if before.closed:
                if dict(before._mapping) != closing | concluded:
                    raise StoreError(
                        f"store {self.name!r}: found recording {key} finished already, expected one still "
                        "open: what is stored is never changed; analyse it again to add rows"
                    )
                return
            connection.execute(update(recordings).where(recordings.c.recording_id == key).values(closing))
            connection.execute(update(analyses).where(live).values(concluded))

    def stored_recording(self, recording_id: str) -> StoredRecording | None:
        """Return how far the store has a recording; None where it was never begun."""
        key = plain_text(recording_id)
        wanted = (
            select(recordings.c.sha256, analyses.c.state, func.count(turns.c.id))
            .join_from(recordings, analyses, recordings.c.recording_id == analyses.c.recording_id)
            .outerjoin(
                turns,
                (turns.c.recording_id == analyses.c.recording_id) & (turns.c.edition == analyses.c.edition),
            )
            .where((recordings.c.recording_id == key) & (analyses.c.edition == LIVE))
            .group_by(recordings.c.sha256, analyses.c.state)
        )
        with self._transaction("looking for a recording", writes=False) as connection:
            found = connection.execute(wanted).first()
        return None if found is None else StoredRecording(*found)

    def history(self, part: str | None = None, limit: int | None = None) -> list[HistoryRow]:
        """Return the stored turns, oldest first: those of one part, or all; the newest ``limit`` of them.

        With a limit the cost does not grow with the number of stored turns.
        """
        newest = (
            select(
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
            .where(turns.c.edition == LIVE)
            .order_by(turns.c.id.desc())
        )
        if part is not None:
            newest = newest.where(turns.c.part == plain_text(part))
        if limit is not None:
            newest = newest.limit(max(0, limit))
        with self._transaction("reading the history", writes=False) as connection:
            rows = [HistoryRow(**row._mapping) for row in connection.execute(newest)]
        rows.reverse()
        return rows

    def add_note(self, turn_id: int, kind: str, recorded: str, reason: str = "") -> None:
        """Note a star or a left-out turn, or take it back; the newest holds. Raises StoreError."""
        if kind not in NOTES:
            raise StoreError(f"store {self.name!r}: found note {kind!r}, expected one of {', '.join(NOTES)}")
        with self._transaction("noting something of a turn", writes=True) as connection:
            connection.execute(
                insert(turn_notes).values(
                    turn_id=int(turn_id),
                    kind=kind,
                    reason=plain_text(reason),
                    recorded=plain_text(recorded),
                )
            )

    def looks_at(self, setup: Mapping[str, str], same: Sequence[str], cut_stage: str) -> int:
        """Return how many recordings with a turn agree with a set-up in these keys, since the part was cut.

        Parameters: the set-up as text; the keys in which earlier recordings have to agree; the stage whose
        recordings say that the part is another one since. Recordings are counted, not turns.
        """
        part = plain_text(setup.get("part", ""))
        of_part = (
            select(recordings.c.setup, recordings.c.stage)
            .where(recordings.c.part == part)
            .where(recordings.c.recording_id.in_(select(turns.c.recording_id)))
            .order_by(recordings.c.started.desc())
        )
        looks = 0
        with self._transaction("counting earlier looks", writes=False) as connection:
            for earlier, stage in connection.execute(of_part):
                if stage == cut_stage:
                    break
                looks += all(earlier.get(key, "") == plain_text(setup.get(key, "")) for key in same)
        return looks

    def stored_turns(self, limit: int = 200, part: str | None = None) -> list[StoredTurn]:
        """Return the newest turns of the live edition, newest first, with orders, set-up and notes."""
        wanted = (
            select(turns, recordings.c.setup)
            .join_from(turns, recordings, turns.c.recording_id == recordings.c.recording_id)
            .where(turns.c.edition == LIVE)
            .order_by(turns.c.id.desc())
            .limit(max(0, limit))
        )
        if part is not None:
            wanted = wanted.where(turns.c.part == plain_text(part))
        with self._transaction("reading stored turns", writes=False) as connection:
            found = connection.execute(wanted).all()
            ids = [row.id for row in found]
            orders: dict[int, list[tuple[float, float]]] = {}
            for one in connection.execute(
                select(turn_orders).where(turn_orders.c.turn_id.in_(ids)).order_by(turn_orders.c.n)
            ):
                orders.setdefault(one.turn_id, []).append((one.cos_mm, one.sin_mm))
            notes: dict[int, dict[str, tuple[str, str]]] = {}
            for one in connection.execute(
                select(turn_notes).where(turn_notes.c.turn_id.in_(ids)).order_by(turn_notes.c.id)
            ):
                notes.setdefault(one.turn_id, {})[one.kind.removesuffix("-undone")] = (one.kind, one.reason)
        return [stored_turn(row, orders.get(row.id, []), notes.get(row.id, {})) for row in found]

    def close(self) -> None:
        """Let go of the database; harmless twice."""
        self._open = False
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def _transaction(self, doing: str, *, writes: bool) -> Iterator[Connection]:
        if not self._open:
            raise StoreError(f"store {self.name!r}: found it closed while {doing}, expected it open: open it")
        engine = self._engine.execution_options(writes=writes)
        with as_store_error(self.name, doing), engine.begin() as connection:
            yield connection

    def _unknown(self, recording_id: str) -> StoreError:
        return StoreError(
            f"store {self.name!r}: found no recording {recording_id}, expected one that was begun: begin it "
            "first"
        )
