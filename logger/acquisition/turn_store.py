"""Keeps turns in the store as they end, and what was concluded once the recording is closed.

The store is named by its room: the database library is loaded when one is opened, while bytes already flow.
"""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from analysis import store
from analysis.errors import NotDecidable
from analysis.setup import Setup
from analysis.sweep import turn_by_itself
from logger.acquisition.recorder import Identity, Recorded
from logger.recording import sha256_of
from logger.session import FinishedTurnSamples


class TurnStore:
    """The store's side of one recording."""

    def __init__(self, where: str, identity: Identity, file: str, setup: Setup, version: str) -> None:
        """Open the store and begin the recording there. Raises StoreError."""
        self._id, self._version = identity.recording_id, version
        self._store = store.open_store(where)
        text = setup.text
        self._store.begin_recording(
            store.RecordingRow(
                recording_id=identity.recording_id,
                file=file,
                started=identity.started,
                part=setup.part,
                job=text.get("job", ""),
                stage=setup.stage.value,
                surface=setup.surface.value,
                setup=text,
                code_version=version,
            )
        )

    def add(self, ended: FinishedTurnSamples) -> int | None:
        """Store one turn; one that carries no fit is not stored, the recording has it. Raises StoreError.

        Returns the turn's number in the store, None where it was not stored.
        """
        try:
            told = turn_by_itself(ended.number, ended.turn, ended.capture)
        except NotDecidable:
            return None
        return self._store.add_turn(
            store.TurnRow(
                recording_id=self._id,
                turn=told.turn,
                direction=told.direction,
                recorded=_now(),
                samples=told.samples,
                values=told.values,
                coverage=told.coverage,
                largest_gap_deg=told.largest_gap_deg,
                rpm=told.rpm,
                tir_raw_mm=told.tir_raw_mm,
                tir_fit_mm=told.tir_fit_mm,
                tir_first_mm=told.tir_first_mm,
                high_point_deg=told.high_point_deg,
                highest_order=len(told.vectors_mm),
                cos_mm=[float(z.real) for z in told.vectors_mm],
                sin_mm=[float(z.imag) for z in told.vectors_mm],
                code_version=self._version,
                options={"highest_order": len(told.vectors_mm)},
            )
        )

    def note(self, turn_id: int, kind: str, reason: str = "") -> None:
        """Note a star or a left-out turn, or take it back. Raises StoreError."""
        self._store.add_note(turn_id, kind, _now(), reason)

    def finish(self, recorded: Recorded, closed: bool, state: str | None, result: Mapping[str, Any]) -> None:
        """Store what was concluded and the checksum of the closed file. Raises StoreError."""
        self._store.finish_recording(
            self._id, sha256_of(recorded.path), closed, state, dict(result), self._version
        )

    def close(self) -> None:
        """Let go of the store."""
        self._store.close()


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
