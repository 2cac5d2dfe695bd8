"""The store in use: a recording begun, its turns added, the recording finished, the history listed."""

from collections.abc import Iterable, Mapping, Sequence
from types import TracebackType
from typing import Any, Self

from sqlalchemy import Engine

from analysis.errors import BadInput, StoreDamaged, StoreError
from analysis.frames import frame
from analysis.store import history_queries, queries, writing
from analysis.store.columns import recording_columns, turn_columns
from analysis.store.conversion import stored_turn
from analysis.store.database import Database
from analysis.store.issued import Issued
from analysis.store.job_notes import JobNotes
from analysis.store.plain import plain_json, plain_text
from analysis.store.register import Register
from analysis.store.rows import (
    EVERYTHING,
    ClosingFacts,
    HistoryFilter,
    HistoryRow,
    RecordingRow,
    StoredRecording,
    StoredSweep,
    StoredTurn,
    TurnRow,
)
from analysis.store.said_by_result import canonical_sha256
from analysis.store.standards import Standards
from analysis.store.upkeep import Upkeep

NOTES = ("star", "star-undone", "left-out", "left-out-undone")
STATES = ("within", "over", "undecided", None)
NOTHING_MORE = ClosingFacts()


class Store:
    """An open store, from ``open_store``; a context manager. May be used from several threads.

    Every failure is a StoreError, and what was being written then is not there at all.
    """

    def __init__(self, engine: Engine, name: str) -> None:
        self.name = name
        self._database = Database(engine, name)
        self.register = Register(self._database)
        """Gauges, parts, jobs."""
        self.standards = Standards(self._database)
        """Limits of check standards."""
        self.issued = Issued(self._database)
        """Records issued of what it holds."""
        self.job_notes = JobNotes(self._database)
        """What was said of jobs."""
        self.upkeep = Upkeep(self._database)
        """What is done to look after the store."""

    # --- writing --------------------------------------------------------------------------------------

    def begin_recording(self, row: RecordingRow) -> None:
        """Add a recording that is beginning; one that is there already stays as it is."""
        with self._database.writing("beginning a recording", finds_or_adds=True) as connection:
            writing.begin_recording(connection, row)

    def add_turn(self, row: TurnRow) -> int:
        """Add one turn with its vectors, both or neither, and return its number in the store.

        A turn of this recording that is there already stays as it is: adding it again is harmless.
        Raises StoreError where the recording was never begun, or a component is missing or not finite.
        """
        with self._database.writing("adding a turn") as connection:
            return writing.add_turn(connection, row, self._unknown(plain_text(row.recording_id)))

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
        closing_facts: ClosingFacts = NOTHING_MORE,
    ) -> None:
        """Write what is known once a recording has ended: its checksum and what was concluded.

        Parameters: ``closed`` whether the file has its closing records, ``state`` ``within``, ``over``,
        ``undecided`` or None (nothing decided), ``result`` the object of ``sweep``, ``options`` what the
        analysis was asked for, ``numerics`` the version of its numbers, ``closing_facts`` what else is known.
        A recording finished with ``closed`` false may be finished again; one that is closed takes only the
        same again. Raises StoreError otherwise, and where it was never begun.
        """
        if state not in STATES:
            raise StoreError(
                f"store {self.name!r}: found state {state!r}, expected within, over, undecided or None: "
                "give one of these"
            )
        ended = writing.CLOSED if closed else writing.INTERRUPTED
        closing = {"sha256": plain_text(sha256), "closed": bool(closed), "ended": ended}
        concluded = {
            "state": None if state is None else plain_text(state),
            "result": plain_json(result),
            "code_version": plain_text(code_version),
            "options": plain_json(options or {}),
            "numerics": numerics,
        }
        with self._database.writing("finishing a recording") as connection:
            key = plain_text(recording_id)
            before = connection.execute(queries.recording_to_finish(key)).first()
            if before is None:
                raise self._unknown(key)
            if not before.closed:
                writing.conclude(connection, key, before, closing, concluded, closing_facts)
                return
            stored = dict(before._mapping)
            stored["options"] = stored["options"] or {}  # null in rows of earlier versions
            if any(stored[name] != value for name, value in (closing | concluded).items()):
                raise StoreError(
                    f"store {self.name!r}: found recording {key} finished already, expected one still "
                    "open: what is stored is never changed; analyse it again to add rows"
                )

    def add_analysis(
        self,
        recording_id: str,
        state: str | None,
        result: Mapping[str, Any],
        code_version: str,
        *,
        numerics: int,
        made: str,
        why: str,
        closing_facts: ClosingFacts = NOTHING_MORE,
    ) -> int:
        """Add what a finished recording says when it is analysed again; return the edition that holds now.

        It is one more only where its result is another one; nothing that is stored is changed. Parameters as
        of ``finish_recording``; ``made`` when, ISO 8601, UTC; ``why`` it is another one. Raises StoreError
        where the recording was never finished.
        """
        key, found = plain_text(recording_id), plain_json(result)
        with self._database.writing("adding an analysis", finds_or_adds=True) as connection:
            before = connection.execute(queries.newest_analysis(key)).first()
            if before is None:
                raise self._unknown(key)
            if before.sha256 is None:
                raise StoreError(
                    f"store {self.name!r}: found recording {key} not finished, expected one that is: "
                    "`fullturn store add FILE` finishes it"
                )
            if canonical_sha256(before.result or {}) == canonical_sha256(found):
                return int(before.edition)
            concluded = {
                "state": None if state is None else plain_text(state),
                "result": found,
                "code_version": plain_text(code_version),
                "options": {},
                "numerics": numerics,
                "made": plain_text(made),
                "why": plain_text(why),
            }
            writing.add_analysis(connection, key, before, concluded, closing_facts)
            return int(before.edition) + 1

    def add_note(
        self, turn_id: int, kind: str, recorded: str, reason: str = "", who: str | None = None
    ) -> None:
        """Note a star or a left-out turn, or take it back; the newest holds. Raises StoreError."""
        if kind not in NOTES:
            raise StoreError(f"store {self.name!r}: found note {kind!r}, expected one of {', '.join(NOTES)}")
        with self._database.writing("noting something of a turn") as connection:
            writing.add_note(connection, turn_id, kind, recorded, reason, who)

    # --- reading --------------------------------------------------------------------------------------

    def stored_recording(self, recording_id: str) -> StoredRecording | None:
        """Return how far the store has a recording; None where it was never begun."""
        with self._database.reading("looking for a recording") as connection:
            found = connection.execute(queries.stored_recording(plain_text(recording_id))).first()
        return None if found is None else StoredRecording(*found)

    def history(
        self, part: str | None = None, limit: int | None = None, only: HistoryFilter = EVERYTHING
    ) -> list[HistoryRow]:
        """Return the stored turns, oldest first: of one part or all, ``only`` some; the newest ``limit``.

        With a limit the cost does not grow with the number of stored turns.
        """
        with self._database.reading("reading the history") as connection:
            found = connection.execute(history_queries.history(part, limit, only))
            rows = [HistoryRow(**row._mapping) for row in found]
        rows.reverse()
        return rows

    def readable_history(
        self, part: str | None = None, limit: int | None = None, only: HistoryFilter = EVERYTHING
    ) -> tuple[list[HistoryRow], list[int]]:
        """Return ``history`` and the numbers of turns that cannot be read: damage costs no other turn."""
        try:
            return self.history(part, limit, only), []
        except StoreDamaged:
            pass
        with self._database.reading("reading the history") as connection:
            found = connection.execute(history_queries.ids_of_newest(part, limit, only)).scalars()
            ids = [int(number) for number in found]
        rows, lost = [], []
        for turn_id in reversed(ids):
            try:
                with self._database.reading("reading a turn") as connection:
                    row = connection.execute(history_queries.history_of_turn(turn_id)).one()
                    rows.append(HistoryRow(**row._mapping))
            except StoreDamaged:
                lost.append(turn_id)
        return rows, lost

    def sweeps(self, recording_ids: Iterable[str]) -> list[StoredSweep]:
        """Return these recordings, each with the newest of its analyses, oldest first."""
        ids = list(dict.fromkeys(map(plain_text, recording_ids)))
        found: list[StoredSweep] = []
        with self._database.reading("reading recordings") as connection:
            for k in range(0, len(ids), queries.PAGE):
                rows = connection.execute(history_queries.sweeps(ids[k : k + queries.PAGE]))
                found += [StoredSweep(**row._mapping) for row in rows]
        return sorted(found, key=lambda one: (one.started, one.recording_id))

    def frame(
        self,
        of: str = "turns",
        part: str | None = None,
        limit: int | None = None,
        only: HistoryFilter = EVERYTHING,
        kind: str = "pandas",
    ) -> Any:
        """Return ``history`` as a frame, one row a turn, or the recordings of these turns, one row each.

        Parameters: ``of`` ``turns`` or ``recordings``, ``kind`` as of a capture. Raises BadInput.
        """
        rows = self.history(part, limit, only)
        if of == "turns":
            return frame(turn_columns(rows), kind)
        if of == "recordings":
            return frame(recording_columns(self.sweeps(row.recording_id for row in rows)), kind)
        raise BadInput(f"a frame of {of!r} is none of turns, recordings")

    def __repr__(self) -> str:
        return f"Store({self.name!r})"

    def looks_at(self, setup: Mapping[str, str], same: Sequence[str], cut_stage: str) -> int:
        """Return how many recordings with a turn agree with a set-up in these keys, since the part was cut.

        Parameters: the set-up as text; the keys in which earlier recordings have to agree; the stage whose
        recordings say that the part is another one since. Recordings are counted, not turns.
        """
        looks = 0
        with self._database.reading("counting earlier looks") as connection:
            of_part = queries.recordings_of_part(plain_text(setup.get("part", "")))
            for earlier, stage in connection.execute(of_part):
                if stage == cut_stage:
                    break
                looks += all(earlier.get(key, "") == plain_text(setup.get(key, "")) for key in same)
        return looks

    def stored_turns(self, limit: int = 200, part: str | None = None) -> list[StoredTurn]:
        """Return the newest turns of the live edition, newest first, with orders, set-up and notes."""
        with self._database.reading("reading stored turns") as connection:
            found = connection.execute(history_queries.turns_with_setup(part, limit)).all()
            ids = [row.id for row in found]
            orders: dict[int, list[tuple[float, float]]] = {}
            for one in connection.execute(queries.orders_of(ids)):
                orders.setdefault(one.turn_id, []).append((one.cos_mm, one.sin_mm))
            notes: dict[int, dict[str, tuple[str, str]]] = {}
            for one in connection.execute(queries.notes_of(ids)):
                notes.setdefault(one.turn_id, {})[one.kind.removesuffix("-undone")] = (one.kind, one.reason)
        return [stored_turn(row, orders.get(row.id, []), notes.get(row.id, {})) for row in found]

    # --- the end --------------------------------------------------------------------------------------

    def close(self) -> None:
        """Let go of the database; harmless twice."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        self.close()

    def _unknown(self, recording_id: str) -> StoreError:
        return StoreError(
            f"store {self.name!r}: found no recording {recording_id}, expected one that was begun: begin it "
            "first"
        )
