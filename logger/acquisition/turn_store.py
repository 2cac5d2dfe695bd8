"""Keeps turns in the store as they end, what is noted of them, and what was concluded of the recording.

The database library is loaded only when the first of it is kept, while bytes already flow.
"""

import time
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any

from analysis import store
from analysis.errors import NotDecidable, StoreError
from analysis.sweep import NUMERICS_VERSION, turn_by_itself
from logger.acquisition.recorder import Recorded, Recorder
from logger.recording import sha256_of
from logger.session import FinishedTurnSamples


class TurnStore:
    """The store's side of one recording. Turns and notes wait until ``keep``, which any one thread may call.

    A store that refuses is told once, and nothing more is kept: the recording goes on without it.
    """

    def __init__(self, where: str, recorder: Recorder, version: str) -> None:
        """``where``: SQLAlchemy URL, or a path ending in .db; nothing is opened yet."""
        self._where, self._recorder, self._version = where, recorder, version
        self._store: store.Store | None = None
        self._waiting: list[FinishedTurnSamples] = []
        self._notes: list[tuple[int, str, str]] = []
        self._ids: dict[int, int] = {}
        """The store's number of each turn that it has."""
        self.refusal: StoreError | None = None
        """Why the store keeps nothing, where it does not."""

    def add(self, turn: FinishedTurnSamples) -> None:
        """Have a turn kept; one that carries no fit is not, the recording has it."""
        if self.refusal is None:
            self._waiting.append(turn)

    def add_note(self, turn: int, kind: str, reason: str = "") -> None:
        """Have kept what was noted of a turn: a star, left out, or either taken back."""
        if self.refusal is None:
            self._notes.append((turn, kind, reason))

    @property
    def wanted(self) -> bool:
        """Tell whether something waits to be kept."""
        return self.refusal is None and bool(self._waiting or self._notes)

    def begin(self, say: Callable[[str], None]) -> None:
        """Begin the recording in the store, also one that no turn may come of; ``say`` as in ``keep``."""
        self._unless_refused(self._open, say)

    def keep(self, say: Callable[[str], None]) -> None:
        """Keep what waits; ``say`` gets the words of a refusal."""
        self._unless_refused(self._write, say)

    def finish(self, recorded: Recorded, closed: bool, state: str | None, result: Mapping[str, Any]) -> None:
        """Store what was concluded and the checksum of the closed file. Raises StoreError."""
        if self._store is not None and self.refusal is None:
            recording_id, checksum = recorded.identity.recording_id, sha256_of(recorded.path)
            self._store.finish_recording(
                recording_id, checksum, closed, state, dict(result), self._version, numerics=NUMERICS_VERSION
            )

    def close(self) -> None:
        """Let go of the store; harmless where it was never opened."""
        if self._store is not None:
            self._store.close()

    def _unless_refused(self, act: Callable[[], None], say: Callable[[str], None]) -> None:
        if self.refusal is not None:
            return
        try:
            act()
        except StoreError as error:
            self.refusal = error
            self._waiting.clear()
            say(f"the store refuses ({error}); the recording goes on")

    def _open(self) -> None:
        if self._store is not None:
            return
        identity, setup = self._recorder.identity, self._recorder.session.setup
        self._store = store.open_store(self._where)
        self._store.begin_recording(
            store.RecordingRow(
                recording_id=identity.recording_id,
                file=str(self._recorder.path.resolve()),
                started=identity.started,
                part=setup.part,
                job=setup.text.get("job", ""),
                stage=setup.stage.value,
                surface=setup.surface.value,
                setup=setup.text,
                code_version=self._version,
            )
        )

    def _write(self) -> None:
        if self._waiting:
            self._open()
        if self._store is None:
            return
        while self._waiting:
            turn = self._waiting.pop(0)
            row = self._row(turn)
            if row is not None:
                self._ids[turn.number] = self._store.add_turn(row)
        while self._notes:
            number, kind, reason = self._notes.pop(0)
            if number in self._ids:
                self._store.add_note(self._ids[number], kind, _seconds(time.time()), reason)

    def _row(self, turn: FinishedTurnSamples) -> "store.TurnRow | None":
        """Return a turn as the store has it; None for one that carries no fit."""
        try:
            result = turn_by_itself(turn.number, turn.turn, turn.capture)
        except NotDecidable:
            return None
        orders = result.vectors_mm
        return store.TurnRow(
            recording_id=self._recorder.identity.recording_id,
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
            mark=turn.mark.identity(self._recorder.identity.recording_id) if turn.mark else None,
        )


def _seconds(wall_s: float) -> str:
    return datetime.fromtimestamp(wall_s, UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
