"""One sweep from whatever a person names: a recording, a file of samples, or ``practice:NAME``.

All end in the same capture; nothing after this can tell which it was. What only one of them needs is named by
its room, which loads it when it is first used.
"""

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from analysis.capture import LINK_COUNTS, Capture, FromRecording, RecordedCheck
from analysis.errors import BadInput
from analysis.results import CheckState
from analysis.setup import Setup
from analysis.sweep import PassedSweep, analyse
from logger import acquisition, practice, recording
from logger.inputs.origin import SweepOrigin
from logger.inputs.recorded_sweep import RecordedSweep
from logger.inputs.sample_files import is_sample_file, read_sample_file
from logger.practice import PRACTICE
from logger.session import SampleBlocks, Session
from logger.wire.handshake import Handshake
from logger.wire.messages import Hello

log = logging.getLogger("fullturn.inputs")

PRACTICE_GAUGE = "practice "
"""So begins the number of every gauge of the virtual bench: an exported file says nothing of its board."""


@dataclass(frozen=True)
class LoadedSweep:
    """A capture and where it came from."""

    capture: Capture
    origin: SweepOrigin
    stages: tuple[str, ...]
    """One line per step before the numerics."""


def load_sweep(
    name: str,
    override: Mapping[str, str],
    *,
    seed: int = 1,
    fault: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> LoadedSweep:
    """Return the sweep that ``name`` stands for, its set-up with ``override`` on top.

    ``progress`` is told bytes done and bytes in all. Raises BadInput, RecordingError.
    """
    loaded = _load(name, override, seed, fault, progress)
    for stage in loaded.stages:
        log.info("%r %s", name, stage)
    return loaded


def load_recorded(path: Path, session: Session, blocks: SampleBlocks, passed: PassedSweep) -> LoadedSweep:
    """Return the sweep of a recording that was made just now, without reading its samples.

    Parameters: its file; the session that heard it, where its samples were taken, and what was made of them.
    Raises BadInput, RecordingError.
    """
    reader = recording.RecordingReader(path)
    for _ in reader.notes():
        pass  # for the account of the file alone
    sweep = RecordedSweep(reader, {}, reader.setup)
    capture = session.capture_taken(blocks, sweep.samples_on_demand(passed))
    return _loaded(str(path), reader, session, capture)


def read_recording(name: str | Path, setup: Mapping[str, str] | None = None) -> Capture:
    """Return one sweep for programs: a recording, a CSV file or ``practice:NAME``, with ``setup`` on top.

    What comes back goes to ``analysis.analyse``. Raises BadInput, RecordingError.
    """
    return load_sweep(str(name), setup or {}).capture


def load_opposed(
    name: str,
    override: Mapping[str, str],
    channel: int,
    near: Capture,
    *,
    seed: int = 1,
    fault: str | None = None,
) -> LoadedSweep:
    """Return the sweep of the tip opposed to ``near``: the same, measured with another channel.

    Raises BadInput where one column of readings would stand for both tips.
    """
    if not name.startswith(PRACTICE) and is_sample_file(Path(name)) and not near.channels_in_file:
        raise BadInput(
            f"{name} holds one column of readings, which is one tip: for two opposed tips name a recording "
            "with two channels, or a file with the columns reading_1_mm and reading_2_mm"
        )
    if near.setup.channel == channel:
        raise BadInput(
            f"{name}: both tips are said to be channel {channel}, and one column of readings is never two "
            "tips; name the other channel"
        )
    return load_sweep(name, {**override, "channel": str(channel)}, seed=seed, fault=fault)


def from_recording(capture: Capture, origin: SweepOrigin) -> FromRecording:
    """Return what a file exported from this sweep has to say of where it came from: link, and every check."""
    before = capture.from_recording
    try:
        found = analyse(capture).checks
    except BadInput:
        found = ()  # no full turn, such as of an end float: there is no check of a sweep to carry
    checks = tuple(RecordedCheck(check.name, check.state, check.text, check.do) for check in found)
    if before is not None and before.damaged:
        return FromRecording(checks=checks)
    if before is not None:
        return replace(before, checks=_passed_on(before.checks, checks))
    link = capture.link
    return FromRecording(
        origin.recording_id,
        origin.sha256,
        None if link is None else {key: getattr(link, key) for key in LINK_COUNTS},
        checks,
    )


def _passed_on(
    recorded: Sequence[RecordedCheck], found: Sequence[RecordedCheck]
) -> tuple[RecordedCheck, ...]:
    """Return a recording's checks as it said them, but for those that its readings now say worse of."""
    now = {one.name: one for one in found}
    kept = tuple(
        now[one.name]
        if one.name in now and CheckState(now[one.name].state).rank > CheckState(one.state).rank
        else one
        for one in recorded
    )
    said = {one.name for one in recorded}
    clear = CheckState.CLEAR.value
    return (*kept, *(one for one in found if one.name not in said and one.state != clear))


def _load(
    name: str,
    override: Mapping[str, str],
    seed: int,
    fault: str | None,
    progress: Callable[[int, int], None] | None,
) -> LoadedSweep:
    if name.startswith(PRACTICE):
        return _load_practice(name, override, seed, fault)
    path = Path(name)
    if is_sample_file(path):
        capture = read_sample_file(path, override)
        origin = SweepOrigin(
            name,
            None,
            None,
            sha256=recording.sha256_of(path),
            from_recording=capture.from_recording,
            practice=is_practice(capture.setup, None),
        )
        return LoadedSweep(capture, origin, (f"{path.suffix[1:].upper()}: {len(capture.samples)} readings",))
    return _load_recording(path, name, override, progress)


def _load_practice(name: str, override: Mapping[str, str], seed: int, fault: str | None) -> LoadedSweep:
    source = practice.PracticeSource(name.removeprefix(PRACTICE), seed, fault)
    session = Session({**source.setup, **override})
    worker = acquisition.Worker(source, session, make_handshake=lambda token: Handshake(first_token=token))
    worker.run()
    while not isinstance(message := worker.messages.get(), acquisition.WorkerEnded):
        pass
    if message.error is not None:
        raise message.error
    capture = session.capture()
    return LoadedSweep(
        capture,
        SweepOrigin(source.name, None, None, practice=True),
        _stages(capture, "virtual bench in process"),
    )


def _load_recording(
    path: Path, name: str, override: Mapping[str, str], progress: Callable[[int, int], None] | None
) -> LoadedSweep:
    reader = recording.RecordingReader(path)
    given = {**reader.setup, **override}
    if override.get("limit_quantity") and reader.setup.get("limit_quantity"):
        # A limit typed anew replaces the recording's own; only a quantity that contradicts it is refused.
        written = reader.setup["limit_quantity"]
        if "limit" not in override and written != override["limit_quantity"]:
            raise BadInput(
                f"--quantity {override['limit_quantity']} against limit_quantity {written} of the "
                f"recording's set-up: "
                "a limit is of one quantity; type the limit anew with --limit, or leave --quantity out"
            )
    size = path.stat().st_size
    sweep = RecordedSweep(reader, override, given)
    session, capture = sweep.read(lambda read: progress(read, size) if progress is not None else None)
    return _loaded(name, reader, session, capture)


def _loaded(
    name: str, reader: "recording.RecordingReader", session: Session, capture: Capture
) -> LoadedSweep:
    closing = "closed" if reader.closed else "not closed"
    skipped = f", {reader.skipped_bytes} bytes skipped" if reader.skipped_bytes else ""
    first = f"recording: {reader.messages} messages, {reader.bytes} bytes, {closing}{skipped}"
    return LoadedSweep(
        capture, origin_of(name, reader, session, closed=reader.closed), _stages(capture, first)
    )


def origin_of(
    name: str, reader: "recording.RecordingReader", session: Session, *, closed: bool | None
) -> SweepOrigin:
    """Return where a sweep of a recording came from; ``session`` has read it."""
    head = reader.origin
    return SweepOrigin(
        name,
        head.recording_id or None,
        closed,
        head.started or None,
        recording.sha256_of(reader.path),
        practice=is_practice(session.setup, session.hello),
    )


def is_practice(setup: Setup, hello: Hello | None) -> bool:
    """Tell whether a sweep was made by the virtual bench: by its board, or by what its gauge is called."""
    of_bench = hello is not None and hello.device_id == practice.DEVICE_ID
    return of_bench or setup.text.get("gauge_id", "").startswith(PRACTICE_GAUGE)


def _stages(capture: Capture, first: str) -> tuple[str, ...]:
    link = capture.link
    assert link is not None
    return (
        first,
        f"frames: {link.frames} good, {link.bad} bad, {link.lost} lost, {link.dropped} dropped by the board",
        f"scaling: {capture.counts_per_turn:g} counts per turn, {capture.resolution_mm * 1000:.4g} "
        f"um a step, sense "
        f"{capture.setup.sense:+d}, zero at the {capture.setup.mark_on}'s mark",
    )
