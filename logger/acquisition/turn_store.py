"""Keeps turns in the store as they end, what is noted of them, and what was concluded of the recording.

The database library is loaded only when the first of it is kept, while bytes already flow.
"""

import logging
import shlex
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol

from analysis import store
from analysis.capture.events import ExclusionUndone, TurnExcluded
from analysis.decision import RULE, RULE_TEXT
from analysis.errors import NotDecidable, StoreBusy, StoreDamaged, StoreError
from analysis.numerics import BLAS_THREADS
from analysis.sweep import NUMERICS_VERSION, turn_by_itself
from logger import practice
from logger.acquisition.recorder import Identity, Recorded
from logger.acquisition.turn_notes import TurnNote
from logger.recording import sha256_of
from logger.session import FinishedTurnSamples, Session

log = logging.getLogger("fullturn.store")
FIRST_S = 5.0
"""How long another program's lock is waited for."""
AGAIN_S = 0.2
"""How long a store that refused is waited for on the way: turns that end meanwhile are to be told in time."""
MOST_WAITING = 2_000
"""So many turns, and as many notes, wait for the store: some 10 MB. ``store add`` makes the others again."""
MOST_READINGS = 1 << 20
"""So many readings, or one turn of more, wait to be fitted for it: some 30 MB."""


class KeptRecording(Protocol):
    """What the store has to know of a recording: one that is being made, or one that is read again."""

    @property
    def identity(self) -> Identity:
        """Who it is."""

    @property
    def path(self) -> Path:
        """Its file."""

    @property
    def session(self) -> Session:
        """Whose set-up it has."""


@dataclass(frozen=True)
class _Conclusion:
    sha256: str
    closed: bool
    state: str | None
    result: dict[str, Any]
    closing_facts: store.ClosingFacts


def check_store(where: str) -> None:
    """Refuse a store that cannot be used, before anything is recorded. Raises StoreError.

    One that is only held by another program is no reason: what is kept waits for it. A file that was left
    without closing is looked through first: who writes on into a damaged one hides what is damaged.
    """
    left = _left_open(where)
    try:
        with store.open_store(where, busy_timeout_s=FIRST_S) as opened:
            damage = opened.upkeep.damage() if left else []
        if damage:
            raise StoreDamaged(
                f"store {where!r}: found {damage[0]!r} after it was left without closing, expected it whole: "
                "put it aside, or name another store with --store (no recording is lost)"
            )
    except StoreBusy as busy:
        log.info("not yet: %s", busy)


def _left_open(where: str) -> bool:
    """Tell whether SQLite's log still lies beside a store: its program was ended, or has it open now."""
    log_file = Path(f"{where.removeprefix('sqlite:///')}-wal")
    try:
        return log_file.stat().st_size > 0
    except OSError:
        return False


class TurnStore:
    """The store's side of one recording. Turns and notes wait until ``keep``, which any one thread may call.

    A store that refuses is told once, and tried again at every turn and at the end; what it does not take
    even then ``not_stored`` names. Memory is bounded however long it refuses or hangs: what comes when too
    much waits is left to the recording, and then the recording is not concluded in the store, for only one
    that is not can be added whole.
    """

    def __init__(self, where: str, recording: KeptRecording, version: str) -> None:
        """``where``: SQLAlchemy URL, or a path ending in .db; nothing is opened yet."""
        self._where, self._recording, self._version = where, recording, version
        self._store: store.Store | None = None
        self._fresh = False
        self._begins = False
        """Whether the store has to have this recording."""
        self._ended: list[FinishedTurnSamples] = []
        self._rows: list[store.TurnRow] = []
        self._notes: list[TurnNote] = []
        self._conclusion: _Conclusion | None = None
        self._left_turns = self._left_notes = 0
        """What came when too much waited, and only the recording has."""
        self._ids: dict[int, int] = {}
        """The store's number of each turn that it has."""
        self._left_out: dict[int, TurnNote] = {}
        """Turns that are left out as things stand."""
        self.refusal: StoreError | None = None
        """Why the store keeps nothing, where it does not now."""

    def add(self, turn: FinishedTurnSamples) -> None:
        """Have a turn kept; one that carries no fit is not, the recording has it."""
        unfitted = list(self._ended)
        readings = sum(len(one.capture.samples) for one in (*unfitted, turn))
        self._fresh = True
        if len(unfitted) + len(self._rows) >= MOST_WAITING or (unfitted and readings > MOST_READINGS):
            self._left_turns += 1
        else:
            self._ended.append(turn)

    def fit(self) -> None:
        """Fit the turns that came; what then waits for the store is small."""
        while self._ended:
            # Fitted at once, also where the store refuses.
            self._begins = True
            row = self._row(self._ended[0])
            if row is not None:
                self._rows.append(row)
            del self._ended[0]

    def add_note(self, note: TurnNote) -> None:
        """Have kept what was noted of a turn: a star, left out, or either taken back."""
        if note.kind == TurnExcluded.KIND:
            self._left_out[note.turn] = note
        elif note.kind == ExclusionUndone.KIND:
            self._left_out.pop(note.turn, None)
        self._fresh = True
        if len(self._notes) >= MOST_WAITING:
            self._left_notes += 1
        else:
            self._notes.append(note)

    @property
    def half_full(self) -> bool:
        """Tell whether half as much waits for the store as ever may."""
        return 2 * max(len(self._rows), len(self._notes)) >= MOST_WAITING

    @property
    def wanted(self) -> bool:
        """Tell whether something has come since the store was last tried."""
        return self._fresh

    def begin(self, say: Callable[[str], None]) -> None:
        """Begin the recording in the store, also one that no turn may come of; ``say`` as in ``keep``."""
        self._begins = True
        self._try(say)

    def keep(self, say: Callable[[str], None]) -> None:
        """Keep what came since the last call and what still waits; ``say`` hears of a refusal and its end."""
        if not self._fresh:
            return
        self._fresh = False
        self.fit()
        self._try(say)

    def finish(
        self,
        recorded: Recorded,
        closed: bool,
        state: str | None,
        result: Mapping[str, Any],
        dof: float | None = None,
    ) -> None:
        """Have what was concluded kept by ``close``, with the checksum of the closed file.

        ``dof`` is that of the number that was held against the limit.
        A recording that was never begun in the store is not concluded there.
        """
        if self._begins:
            self._conclusion = _Conclusion(
                sha256_of(recorded.path), closed, state, dict(result), self._closing_facts(recorded, dof)
            )

    def close(self) -> None:
        """Keep what waits, or leave a ``refusal``, and let go of the store; harmless where it is closed."""
        self.fit()
        if self._conclusion is not None or self._rows or self._notes or self.refusal is not None:
            self.refusal = None  # for the last time it is waited for as long as for the first
            self._try(log.info)
        self._let_go()

    def not_stored(self, options: str = "") -> str:
        """Say in one line what the store does not have, and the command that adds it; empty where it has all.

        ``options`` is what the command needs besides the file.
        """
        if self.refusal is None and not self._incomplete:
            return ""
        missed = len(self._rows) + self._left_turns
        turns = f"{missed} turn{'s' if missed > 1 else ''}" if missed else ""
        result = "the result" if self._conclusion is not None else ""
        missing = " and ".join(filter(None, (turns, result))) or "the recording"
        why = self.refusal or "it kept more waiting than memory is given to"
        command = f"fullturn store add {shlex.quote(str(self._recording.path))} {options}".rstrip()
        return f"not stored: {missing} ({why}); add with: {command}"

    @property
    def _incomplete(self) -> bool:
        return bool(self._left_turns or self._left_notes)

    def _try(self, say: Callable[[str], None]) -> None:
        before = self.refusal
        try:
            self._write()
        except StoreError as error:
            self.refusal = error
            self._let_go()  # whatever is wrong with it, the next try opens it anew
            if before is None:
                say(f"the store refuses ({error}); the recording goes on and tries it again at every turn")
        else:
            self.refusal = None
            if before is not None:
                say("the store has taken what waited for it")

    def _let_go(self) -> None:
        if self._store is not None:
            self._store.close()
            self._store = None

    def _opened(self) -> "store.Store":
        if self._store is not None:
            return self._store
        opened = self._store = store.open_store(
            self._where, busy_timeout_s=FIRST_S if self.refusal is None else AGAIN_S
        )
        identity, setup = self._recording.identity, self._recording.session.setup
        opened.begin_recording(
            store.RecordingRow(
                recording_id=identity.recording_id,
                file=str(self._recording.path.resolve()),
                started=identity.started,
                part=setup.part,
                job=setup.text.get("job", ""),
                stage=setup.stage.value,
                surface=setup.surface.value,
                setup=setup.text,
                code_version=self._version,
            )
        )
        return opened

    def _write(self) -> None:
        if not self._begins:
            return  # nothing but notes, and of no turn
        opened = self._opened()
        while self._rows:
            self._ids[self._rows[0].turn] = opened.add_turn(self._rows[0])
            del self._rows[0]
        while self._notes:
            note = self._notes[0]
            if note.turn in self._ids:
                recorded = _seconds(note.wall_ns * 1e-9)
                opened.add_note(self._ids[note.turn], note.kind, recorded, note.reason, self._who)
            del self._notes[0]
        if self._conclusion is not None and not self._incomplete:
            done = self._conclusion
            opened.finish_recording(
                self._recording.identity.recording_id,
                done.sha256,
                done.closed,
                done.state,
                done.result,
                self._version,
                numerics=NUMERICS_VERSION,
                closing_facts=done.closing_facts,
            )
            self._conclusion = None

    @property
    def _who(self) -> str | None:
        return store.initials(self._recording.session.setup.text.get("operator", "")) or None

    def _closing_facts(self, recorded: Recorded, dof: float | None) -> "store.ClosingFacts":
        hello = self._recording.session.hello
        left_out = [
            store.TurnLeftOut(note.turn, note.reason, _seconds(note.wall_ns * 1e-9))
            for note in self._left_out.values()
        ]
        return store.ClosingFacts(
            ended_at=_seconds(recorded.heard.wall_ns * 1e-9) if recorded.heard else None,
            bytes=recorded.path.stat().st_size,
            board_serial=f"{hello.device_id:08x}" if hello else None,
            firmware=f"{hello.fw_major}.{hello.fw_minor}" if hello else None,
            practice=hello.device_id == practice.DEVICE_ID if hello else None,
            blas_threads=BLAS_THREADS,
            rule=RULE,
            rule_text=RULE_TEXT,
            decision_dof=dof,
            turns_left_out=left_out,
        )

    def _row(self, turn: FinishedTurnSamples) -> "store.TurnRow | None":
        """Return a turn as the store has it; None for one that carries no fit."""
        try:
            result = turn_by_itself(turn.number, turn.turn, turn.capture)
        except NotDecidable:
            return None
        orders = result.vectors_mm
        return store.TurnRow(
            recording_id=self._recording.identity.recording_id,
            turn=result.turn,
            direction=result.direction,
            recorded=_seconds(turn.heard.wall_ns * 1e-9),
            samples=result.samples,
            values=result.values,
            coverage=result.coverage,
            largest_gap_deg=result.largest_gap_deg,
            rpm=result.rpm,
            tir_raw_mm=result.tir_raw_mm,
            tir_fit_mm=result.tir_fit_mm,
            tir_first_mm=result.tir_first_mm,
            high_point_deg=result.high_point_deg,
            highest_order=len(orders),
            cos_mm=[float(z.real) for z in orders],
            sin_mm=[float(z.imag) for z in orders],
            code_version=self._version,
            options={"highest_order": len(orders)},
            numerics=NUMERICS_VERSION,
            mark=turn.mark.identity(self._recording.identity.recording_id) if turn.mark else None,
        )


def _seconds(wall_s: float) -> str:
    return datetime.fromtimestamp(wall_s, UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
