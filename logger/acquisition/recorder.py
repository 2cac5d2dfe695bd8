"""One recording from an opened source to a closed file, with what happens on the way handed to the caller.

Used by ``record``, by ``practice --write`` and by the screen: where a file goes, who it is, and the order of
opening and closing. Knows nothing of analysis or store.
"""

import hashlib
import logging
import os
import re
import uuid
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from queue import Empty

from analysis.capture.events import Event
from analysis.errors import BadInput, FullturnError, RecordingError
from analysis.sweep import PassedSweep
from logger.acquisition.recording_end import Until
from logger.acquisition.watched_session import KEPT_SAMPLES
from logger.acquisition.worker import Worker
from logger.acquisition.worker_messages import WorkerEnded, WorkerMessage
from logger.recording import RecordingWriter
from logger.recording.layout import LINES
from logger.session import SampleBlocks, Session, SweepUnderWay
from logger.stream import HostTime, Source
from logger.wire.handshake import Handshake

NS = 1e-9
log = logging.getLogger("fullturn.recorder")
LINKS_OF_A_RIG = 2
"""A rig has lines on one port or on two."""


@dataclass(frozen=True)
class Identity:
    """Who a recording is."""

    recording_id: str
    """UUID4 as text."""
    started: str
    """ISO 8601, UTC."""


@dataclass(frozen=True)
class Recorded:
    """A recording that has ended and is closed."""

    path: Path
    identity: Identity
    turns: int
    link_bytes: int
    """How many bytes came from the board in all."""
    error: FullturnError | None
    """Why it ended, where it did not end as asked."""
    short: bool
    """Whether it ended by itself before the turns or seconds asked for had come."""
    heard: HostTime | None = None
    """When the last byte of the board came; None = never."""


def new_identity(now: HostTime) -> Identity:
    """Return a fresh identity at this moment."""
    return Identity(str(uuid.uuid4()), _iso(now))


def seeded_identity(name: str, seed: int, fault: str | None, now: HostTime) -> Identity:
    """Return the identity that a written practice recording always has for the same seed."""
    digest = hashlib.sha256(f"{name}|{seed}|{fault or ''}".encode()).digest()
    return Identity(str(uuid.UUID(bytes=digest[:16], version=4)), _iso(now))


def _iso(now: HostTime) -> str:
    return (
        datetime.fromtimestamp(now.wall_ns * NS, UTC)
        .isoformat(timespec="milliseconds")
        .replace("+00:00", "Z")
    )


def default_path(folder: Path, part: str, now: datetime) -> Path:
    """Return where a recording goes that nobody named: date, time and part, never outside the folder."""
    clean = re.sub(r"[^a-z0-9]+", "-", part.lower()).strip("-")[:40]
    stem = f"{now:%Y-%m-%d-%H%M%S}" + (f"-{clean}" if clean else "")
    path = folder / f"{stem}.mcap"
    number = 2
    while path.exists():
        path = folder / f"{stem}-{number}.mcap"
        number += 1
    return path


def check_out(path: Path) -> None:
    """Refuse an output file that exists or whose folder does not, before anything is opened."""
    if path.exists():
        raise BadInput(f"{path} exists already: recordings are never overwritten; name another with --out")
    if not path.parent.is_dir():
        raise BadInput(f"the folder {path.parent} does not exist: make it, or name another file with --out")


def make_folder(folder: Path) -> None:
    """Make the data folder; raises RecordingError where that cannot be done."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise RecordingError(
            f"the data folder {folder} cannot be made: {error.strerror}; name another with "
            f"FULLTURN_DATA or --out"
        ) from error


class Recorder:
    """Runs one recording. Iterating gives what happens until it has ended; ``stop`` ends it at any time."""

    def __init__(
        self,
        source: Source,
        path: Path,
        *,
        setup: Mapping[str, str],
        identity: Identity,
        version: str,
        rate_hz: int = 0,
        until: Until | None = None,
        threaded: bool = True,
        lines: bool = False,
        after_item: Callable[[Session, HostTime], None] | None = None,
        patient: bool = False,
        kept_samples: int = KEPT_SAMPLES,
        fsync: Callable[[int], None] = os.fsync,
    ) -> None:
        """``after_item``, ``patient`` and ``kept_samples`` as in Worker; ``fsync`` waits for the disk."""
        self.path, self.identity = path, identity
        self._writer = RecordingWriter(
            path,
            setup=setup,
            recording_id=identity.recording_id,
            started=identity.started,
            version=version,
            clock=source.now,
            encodings=dict.fromkeys(range(LINKS_OF_A_RIG), LINES) if lines else None,
            fsync=fsync,
        )
        log.info("recording %s to %s", identity.recording_id, path)
        self.session = Session()
        self.session.change_setup(setup)
        self._under_way = SweepUnderWay()
        self._threaded = threaded
        self._ended: WorkerEnded | None = None

        def make_handshake(token: int) -> Handshake:
            return Handshake(rate_hz=rate_hz, first_token=token)

        self.worker = self._worker = Worker(
            source,
            self.session,
            writer=self._writer,
            # A device that prints lines is listened to, not greeted.
            make_handshake=None if lines else make_handshake,
            until=until,
            after_item=after_item,
            patient=patient,
            under_way=self._under_way,
            kept_samples=kept_samples,
        )

    def messages(self, tick: Callable[[], None] | None = None) -> Iterator[WorkerMessage]:
        """Run it and yield what happens, ``WorkerEnded`` last; ``tick`` is called while nothing does."""
        if self._threaded:
            self._worker.start()
        else:
            self._worker.run()
        while self._ended is None:
            try:
                message = self._worker.messages.get(timeout=0.2)
            except Empty:
                if tick is not None:
                    tick()
                continue
            if isinstance(message, WorkerEnded):
                self._ended = message
            yield message

    def sweep(self) -> tuple[SampleBlocks, PassedSweep] | None:
        """Return what was made of all samples as they came; None where only the recording tells the sweep.

        To be asked once, when it is closed.
        """
        return self._under_way.finish(self.session) if self._tells_sweep else None

    def sweep_so_far(self) -> tuple[SampleBlocks, PassedSweep] | None:
        """Return the same as if it ended now, while it goes on; whoever asks holds the worker's lock."""
        return self._under_way.so_far(self.session) if self._tells_sweep else None

    @property
    def _tells_sweep(self) -> bool:
        whole = self._worker.decoded_all and not self.session.given_up
        # How long a restart took is told by when the recording says that bytes came.
        return whole and self.session.boots == 1

    def take_ended(self, ended: WorkerEnded) -> None:
        """Be told that the worker has ended, by whoever empties its queue instead of ``messages``."""
        self._ended = ended

    def record_event(self, event: Event) -> None:
        """Have an event recorded, dated now; from any thread."""
        self._worker.record_event(event)

    def stop(self) -> None:
        """End it; what was read stays recorded."""
        self._worker.stop()

    def close(self) -> Recorded:
        """Stop and wait if it still runs, close the file, and say what there is.

        A fault of the program in the worker is raised here, after the file was closed.
        """
        self._worker.stop()
        if self._threaded:
            self._worker.join()
        while self._ended is None:
            message = self._worker.messages.get()
            if isinstance(message, WorkerEnded):
                self._ended = message
        error = self._ended.error
        try:
            self._writer.close()
        except RecordingError as lost:
            error = error or lost
        turns, link_bytes = self._ended.turns, self._worker.link_bytes
        log.info("closed after %d turns and %d bytes of the link: %r", turns, link_bytes, error)
        if self._worker.fault is not None:
            raise self._worker.fault
        return Recorded(
            self.path, self.identity, turns, link_bytes, error, self._ended.short, self._worker.heard
        )
