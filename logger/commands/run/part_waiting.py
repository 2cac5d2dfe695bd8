"""Between two parts of a batch: the board is heard, and nothing is recorded.

Tells whether the next part stands, at which count, and whether the board's button was pressed.
"""

from queue import Empty

from analysis.capture.events import ButtonPressed, MarkTouched
from logger.acquisition import EventTaken, OpenedSource, Worker, WorkerEnded
from logger.commands.run.record_once import MarkAtStart
from logger.decoding import counts_moved, stands
from logger.session import Session
from logger.stream import HostTime
from logger.wire.handshake import Handshake

KEPT_SAMPLES = 1 << 13
"""So many of the newest samples are kept while it is waited: more than half a second of any board."""


class PartWaiting:
    """Hears a board until the next part is to be measured; ``end`` before anything is recorded of it."""

    def __init__(self, opened: OpenedSource, setup: dict[str, str]) -> None:
        self._session = Session()
        self._session.change_setup(setup)
        request = opened.request

        def greet(token: int) -> Handshake:
            return Handshake(rate_hz=request.rate_hz, first_token=token)

        self._worker = Worker(
            opened.source,
            self._session,
            make_handshake=None if request.rig is not None else greet,
            after_item=_forget_old,
        )
        self._worker.start()

    def button_pressed(self) -> bool:
        """Tell whether the board's button was pressed since the last look. Raises what ended the board."""
        pressed = False
        while True:
            try:
                message = self._worker.messages.get_nowait()
            except Empty:
                return pressed
            if isinstance(message, EventTaken):
                pressed = pressed or isinstance(message.event, ButtonPressed | MarkTouched)
            elif isinstance(message, WorkerEnded) and message.error is not None:
                raise message.error

    def why_not(self) -> str:
        """Return why the sweep cannot begin now; empty where it can."""
        with self._worker.lock:
            readings = self._session.readings(self._session.forgotten)
            counts_per_turn = self._session.counts_per_turn
        if readings is None or not len(readings.t_s):
            return self._worker.problem or "no reading comes yet"
        if not counts_per_turn:
            return ""  # where nothing counts, only the person can tell
        known = readings.count == readings.count
        standing = stands(counts_moved(readings.t_s[known], readings.count[known]), counts_per_turn)
        if standing is None:
            return "it has not stood for half a second yet"
        return "" if standing else "it turns"

    def mark(self) -> MarkAtStart | None:
        """Return where the mark stands now; None where nothing counts."""
        with self._worker.lock:
            count, hello = self._session.newest_count, self._session.hello
            counted = self._session.tells_counts and self._session.setup.mark == "event"
        if count is None or not counted:
            return None
        return MarkAtStart(count, hello.boot_id if hello is not None else None)

    def end(self) -> None:
        """Let go of the board, which stays open for what comes next."""
        self._worker.stop()
        self._worker.join()


def _forget_old(session: Session, heard: HostTime) -> None:
    del heard
    if session.samples_of_newest - session.forgotten > 2 * KEPT_SAMPLES:
        session.forget(session.samples_of_newest - KEPT_SAMPLES)
