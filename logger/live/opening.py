"""From what a person names to a live session: a port, a practice bench, a recording replayed or followed."""

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from analysis.errors import BadInput, FullturnError
from analysis.store.rows import StoredTurn
from logger.acquisition import (
    Recorder,
    Worker,
    default_path,
    make_folder,
    new_identity,
    sweep_out,
    unnamed_folder,
)
from logger.decoding import Rig
from logger.live.state.replay_control import ReplayControl
from logger.live.state.runtime import Folders, LiveRuntime
from logger.live.state.sample_ring import SampleRing
from logger.live.state.session_tap import SessionTap
from logger.live.state.state import Role
from logger.live.state.turn_storage import BackgroundTurnStore
from logger.session import Session
from logger.settings import Settings
from logger.stream import Source

PRACTICE = "practice:"


@dataclass(frozen=True)
class LiveSession:
    """A live session as it was opened, and what steers it where it is a replay."""

    runtime: LiveRuntime
    replay: ReplayControl | None = None
    path: Path | None = None
    """The recording that is replayed or followed."""


def open_source(
    source: Source,
    role: Role,
    settings: Settings,
    version: str,
    override: Mapping[str, str],
    *,
    rate_hz: int = 0,
    rig: Rig | None = None,
    remember: Callable[[], None] = lambda: None,
    clock: Callable[[], float],
) -> LiveSession:
    """Begin to record and show an opened port or practice bench; with a rig, of a gauge that prints lines.

    Raw bytes are recorded from here on, into the folder of unnamed recordings. ``remember`` is called once
    the board has answered.
    """
    make_folder(settings.data_folder)
    folder = unnamed_folder(settings.data_folder)
    make_folder(folder)
    sweep_out(folder)
    text = {**getattr(source, "setup", {}), **dict(rig.text if rig else ()), **override}
    sample_ring = SampleRing()
    session_tap = SessionTap(sample_ring)
    recorder = Recorder(
        source,
        default_path(folder, text.get("part", ""), datetime.now()),
        setup=text,
        identity=new_identity(source.now()),
        version=version,
        rate_hz=rate_hz,
        lines=rig is not None,
        tap=session_tap,
        patient=True,
    )
    if rig is not None and rig.port.send:
        source.write(rig.port.send.encode())
    runtime = LiveRuntime(
        role,
        source,
        folders=folders_of(settings),
        recorder=recorder,
        sample_ring=sample_ring,
        session_tap=session_tap,
        turn_store=BackgroundTurnStore(recorder, settings, version),
        given=text,
        gauge_name=f"lines {source.name}" if rig is not None else "",
        remember=remember,
        clock=clock,
    )
    return LiveSession(runtime)


def folders_of(settings: Settings) -> Folders:
    """Return where this person's files lie."""
    return Folders(settings.config_folder, settings.data_folder)


def open_port(
    path: str,
    settings: Settings,
    version: str,
    override: Mapping[str, str],
    *,
    baud: int,
    rate_hz: int = 0,
    rig: Rig | None = None,
    second: str | None = None,
    clock: Callable[[], float],
) -> LiveSession:
    """Open a port that a person named or that is known; it is never given up once it was there.

    ``rig`` says what a gauge that is no board of ours prints, ``second`` names its encoder's port.
    """
    from logger.sources import (  # noqa: PLC0415
        KnownBoards,
        PortSource,
        ReopenPolicy,
    )

    known = KnownBoards(settings.config_folder)
    patience = ReopenPolicy(give_up_s=float("inf"))
    parity = rig.port.parity if rig else "none"
    port = PortSource(path, picked=True, known=known, baud=baud, parity=parity, policy=patience)
    source: Source = port
    try:
        if rig is not None and rig.second is not None and second is not None:
            from logger.sources import PairSource  # noqa: PLC0415

            other = rig.second.port
            source = PairSource(
                port,
                PortSource(
                    second, picked=True, known=known, baud=other.baud, parity=other.parity, link=1,
                    policy=patience,
                ),
            )  # fmt: skip

        def remember() -> None:
            with suppress(BadInput):
                known.remember(port.info)

        return open_source(
            source,
            Role.OWNER,
            settings,
            version,
            override,
            rate_hz=rate_hz,
            rig=rig,
            # Known boards are opened without a rig: one that prints lines is named again next time.
            remember=remember if rig is None else lambda: None,
            clock=clock,
        )
    except FullturnError:
        source.close()
        raise


def open_practice(
    name: str,
    settings: Settings,
    version: str,
    override: Mapping[str, str],
    *,
    seed: int = 1,
    fault: str | None = None,
    clock: Callable[[], float],
) -> LiveSession:
    """Begin a practice bench in the process, at the pace of life."""
    from logger.practice import PacedPractice  # noqa: PLC0415

    source = PacedPractice(name.removeprefix(PRACTICE), seed, fault)
    return open_source(source, Role.PRACTICE, settings, version, override, clock=clock)


def open_recording(
    path: Path, settings: Settings, override: Mapping[str, str], *, follow: bool, clock: Callable[[], float]
) -> LiveSession:
    """Replay a recording at the speed of life, or follow one that grows, view-only."""
    from logger.recording import RecordingReader  # noqa: PLC0415
    from logger.sources import FollowSource, ReplaySource  # noqa: PLC0415

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
            worker=Worker(source, session, tap=session_tap),
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
    from analysis.store import open_store  # noqa: PLC0415

    where = settings.store.value
    if "://" not in where and not Path(where).exists():
        return []
    with open_store(where) as store:
        return store.stored_turns()
