"""From what a person names to a live session: a source that is recorded, a recording replayed or followed."""

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from analysis import store
from analysis.errors import BadInput, FullturnError
from analysis.store.rows import StoredTurn
from logger.acquisition import (
    KeptOpen,
    OpenedSource,
    SourceRequest,
    TurnStore,
    Worker,
    make_folder,
    open_source,
    register_of,
    unnamed_folder,
    with_looks,
)
from logger.live.state.replay_control import ReplayControl
from logger.live.state.runtime import Folders, LiveRuntime
from logger.live.state.sample_ring import SampleRing
from logger.live.state.session_tap import SessionTap
from logger.live.state.state import Role
from logger.recording import RecordingReader
from logger.session import Session
from logger.settings import Settings
from logger.sources import FollowSource, ReplaySource
from logger.stream import Source
from logger.wire.handshake import Handshake

TURNS_PLANNED = 3
"""What a person at the screen is asked to turn before anything is decided, unless the set-up has a plan."""


@dataclass(frozen=True)
class LiveSession:
    """A live session as it was opened, and what steers it where it is a replay."""

    runtime: LiveRuntime
    replay: ReplayControl | None = None
    path: Path | None = None
    """The recording that is replayed or followed."""
    opened: OpenedSource | None = None
    """The source that is read; None where a recording is."""


def open_live(
    request: SourceRequest,
    settings: Settings,
    version: str,
    override: Mapping[str, str],
    *,
    clock: Callable[[], float],
) -> LiveSession:
    """Open a port or the practice bench, and begin to record and show it. Raises FullturnError.

    A port stays open when its session is closed, for another may go on with it: ``opened`` lets it go.
    """
    opened = open_source(request, settings.config_folder)
    if not request.practice:
        opened = replace(opened, source=KeptOpen(opened.source))
    try:
        return begin_live(opened, settings, version, override, clock=clock)
    except FullturnError:
        opened.source.close()
        raise


def begin_live(
    opened: OpenedSource,
    settings: Settings,
    version: str,
    override: Mapping[str, str],
    *,
    clock: Callable[[], float],
) -> LiveSession:
    """Begin to record and show an opened source.

    Raw bytes are recorded from here on, into the folder of unnamed recordings.
    """
    make_folder(settings.data_folder)
    folder = unnamed_folder(settings.data_folder)
    make_folder(folder)
    # A store that cannot be read is told by the turn store as soon as a turn is kept.
    register = register_of(settings.store.value, lambda line: None)
    text = register.applied(opened.setup(override))
    text = with_looks(text, TURNS_PLANNED, settings.store.value, lambda line: None)
    sample_ring = SampleRing()
    session_tap = SessionTap(sample_ring)
    recorder = opened.record_unnamed(folder, text, version, now=datetime.now(), after_item=session_tap)
    prints_lines = opened.request.rig is not None

    def remember() -> None:
        if prints_lines:
            return  # Known boards are opened without a rig: one that prints lines is named again next time.
        with suppress(BadInput):
            opened.remember()

    runtime = LiveRuntime(
        Role.PRACTICE if opened.request.practice else Role.OWNER,
        opened.source,
        folders=folders_of(settings),
        recorder=recorder,
        sample_ring=sample_ring,
        session_tap=session_tap,
        turn_store=TurnStore(settings.store.value, recorder, version),
        given=text,
        register=register,
        gauge_name=f"lines {opened.source.name}" if prints_lines else "",
        remember=remember,
        clock=clock,
    )
    return LiveSession(runtime, opened=opened)


def begin_listening(
    opened: OpenedSource, settings: Settings, setup: Mapping[str, str], *, clock: Callable[[], float]
) -> LiveRuntime:
    """Begin to show an opened source without recording it. Raises FullturnError."""
    request, sample_ring = opened.request, SampleRing()
    session_tap = SessionTap(sample_ring)
    session = Session()
    session.change_setup(setup)
    worker = Worker(
        opened.source,
        session,
        make_handshake=None if request.rig else lambda token: Handshake(request.rate_hz, first_token=token),
        after_item=session_tap,
        patient=request.patient,
    )
    return LiveRuntime(
        Role.OWNER,
        opened.source,
        folders=folders_of(settings),
        session=session,
        worker=worker,
        sample_ring=sample_ring,
        session_tap=session_tap,
        clock=clock,
    )


def folders_of(settings: Settings) -> Folders:
    """Return where this person's files lie."""
    return Folders(settings.config_folder, settings.data_folder)


def open_recording(
    path: Path, settings: Settings, override: Mapping[str, str], *, follow: bool, clock: Callable[[], float]
) -> LiveSession:
    """Replay a recording at the speed of life, or follow one that grows, view-only."""

    def begin(source: Source, role: Role) -> LiveRuntime:
        sample_ring = SampleRing()
        session_tap = SessionTap(sample_ring)
        session = Session(override)
        session.change_setup(RecordingReader(path).setup)
        return LiveRuntime(
            role,
            source,
            folders=folders_of(settings),
            session=session,
            worker=Worker(source, session, after_item=session_tap),
            sample_ring=sample_ring,
            session_tap=session_tap,
            clock=clock,
        )

    reader = RecordingReader(path)
    if follow:
        return LiveSession(begin(FollowSource(reader), Role.FOLLOW), path=path)
    source = ReplaySource(reader, speed=1.0)

    def at(monotonic_ns: int) -> tuple[LiveRuntime, ReplaySource]:
        again = ReplaySource(RecordingReader(path), speed=0.0)
        again.skip_to(monotonic_ns)
        runtime = begin(again, Role.REPLAY)
        runtime.start()
        return runtime, again

    return LiveSession(begin(source, Role.REPLAY), replay=ReplayControl(source, at), path=path)


def library_of(settings: Settings) -> list[StoredTurn]:
    """Return the newest stored turns. Raises StoreError."""
    where = settings.store.value
    if "://" not in where and not Path(where).exists():
        return []
    with store.open_store(where) as opened:
        return opened.stored_turns()
