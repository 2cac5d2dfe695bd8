"""Turns of the screen kept in the store as they end, with their stars and reasons, and what was concluded."""

from collections.abc import Callable

from analysis.errors import StoreError
from analysis.results import SweepResult
from analysis.setup import Setup
from logger.acquisition import Recorded, Recorder, TurnStore
from logger.inputs import SweepOrigin
from logger.reports import sweep
from logger.session import FinishedTurnSamples
from logger.settings import Settings


class BackgroundTurnStore:
    """Keeps turns and notes in the store, beside the painting; a refusal is told once."""

    def __init__(self, recorder: Recorder, settings: Settings, version: str) -> None:
        self._recorder, self._settings, self._version = recorder, settings, version
        self._store: TurnStore | None = None
        self._waiting: list[tuple[int, FinishedTurnSamples]] = []
        self._notes: list[tuple[int, str, str]] = []
        self._ids: dict[int, int] = {}
        self._failed = False

    def add(self, turn: int, samples: FinishedTurnSamples) -> None:
        """Have a turn of this number kept."""
        if not self._failed:
            self._waiting.append((turn, samples))

    def note(self, turn: int, kind: str, reason: str) -> None:
        """Have kept what was noted of a turn."""
        self._notes.append((turn, kind, reason))

    @property
    def wanted(self) -> bool:
        """Tell whether something waits to be kept."""
        return not self._failed and bool(self._waiting or self._notes)

    def keep(self, say: Callable[[str], None]) -> None:
        """Keep what waits; in the thread that analyses. ``say`` gets the words of a refusal, once."""
        if self._failed:
            return
        try:
            self._keep(self._recorder.session.setup)
        except StoreError as error:
            self._failed = True
            self._waiting.clear()
            say(f"the store refuses ({error}); the recording goes on")

    def _keep(self, setup: Setup) -> None:
        if self._store is None and self._waiting:
            self._store = TurnStore(
                self._settings.store.value,
                self._recorder.identity,
                str(self._recorder.path.resolve()),
                setup,
                self._version,
            )
        if self._store is None:
            return
        while self._waiting:
            turn, samples = self._waiting.pop(0)
            number = self._store.add(samples)
            if number is not None:
                self._ids[turn] = number
        while self._notes:
            turn, kind, reason = self._notes.pop(0)
            if turn in self._ids:
                self._store.note(self._ids[turn], kind, reason)

    def finish(self, recorded: Recorded, result: SweepResult | None) -> None:
        """Keep what was concluded, once the recording is closed and the rest is kept."""
        if self._store is None:
            return
        try:
            if result is not None and not self._failed:
                where = SweepOrigin(str(recorded.path), recorded.identity.recording_id, True)
                concluded = sweep.as_json(result, where, self._recorder.session.snapshot().link)
                state = result.decision.state if result.decision else None
                self._store.finish(recorded, True, state, concluded)
        except StoreError:
            self._failed = True
        finally:
            self._store.close()
