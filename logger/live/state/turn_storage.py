"""Turns of the screen kept in the store as they end, with their stars and reasons, and what was concluded."""

from analysis.errors import StoreError
from analysis.results import TurnResult
from logger.acquisition import TurnStore
from logger.inputs import SweepOrigin
from logger.live.state.runtime import LiveRuntime
from logger.reports import sweep
from logger.session import FinishedTurnSamples
from logger.settings import Settings


class BackgroundTurnStore:
    """Keeps turns and notes in the store, beside the painting; a refusal is told once."""

    def __init__(self, runtime: LiveRuntime, settings: Settings, version: str) -> None:
        self._runtime, self._settings, self._version = runtime, settings, version
        self._store: TurnStore | None = None
        self._waiting: list[tuple[FinishedTurnSamples, TurnResult]] = []
        self._notes: list[tuple[int, str, str]] = []
        self._ids: dict[int, int] = {}
        self._failed = False
        runtime.on_turn = self._take_turn
        runtime.on_note = lambda turn, kind, reason: self._notes.append((turn, kind, reason))

    def _take_turn(self, ended: FinishedTurnSamples, result: TurnResult) -> None:
        if not self._failed:
            self._waiting.append((ended, result))

    @property
    def wanted(self) -> bool:
        """Tell whether something waits to be kept."""
        return not self._failed and bool(self._waiting or self._notes)

    def keep(self) -> None:
        """Keep what waits; in the thread that analyses."""
        if self._failed:
            return
        try:
            self._keep()
        except StoreError as error:
            self._failed = True
            self._waiting.clear()
            self._runtime.say(f"the store refuses ({error}); the recording goes on")

    def _keep(self) -> None:
        recorder = self._runtime.recorder
        assert recorder is not None
        if self._store is None and self._waiting:
            self._store = TurnStore(
                self._settings.store.value,
                recorder.identity,
                str(recorder.path.resolve()),
                self._runtime.session.setup,
                self._version,
            )
        if self._store is None:
            return
        while self._waiting:
            ended, result = self._waiting.pop(0)
            number = self._store.add(ended)
            if number is not None:
                self._ids[result.turn] = number
        while self._notes:
            turn, kind, reason = self._notes.pop(0)
            if turn in self._ids:
                self._store.note(self._ids[turn], kind, reason)

    def finish(self) -> None:
        """Keep the rest, and what was concluded, once the recording is closed."""
        runtime = self._runtime
        recorded = runtime.close()
        self.keep()
        if self._store is None or recorded is None:
            return
        result = runtime.analysis.result if runtime.analysis else None
        try:
            if result is not None and not self._failed:
                where = SweepOrigin(str(recorded.path), recorded.identity.recording_id, True)
                concluded = sweep.as_json(result, where, runtime.session.snapshot().link)
                state = result.decision.state if result.decision else None
                self._store.finish(recorded, True, state, concluded)
        except StoreError:
            self._failed = True
        finally:
            self._store.close()
