"""The one place that opens a source: a port, two ports of a rig, standard input, the practice bench.

What does not go together is refused before anything is opened, whichever command asks.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from analysis.errors import BadInput, FullturnError, RecordingError
from logger import practice, sources
from logger.acquisition.kept_open import KeptOpen
from logger.acquisition.recorder import Recorder, default_path, new_identity
from logger.acquisition.recording_end import Until
from logger.acquisition.watched_session import KEPT_SAMPLES
from logger.decoding import Rig
from logger.practice import PRACTICE
from logger.session import Session
from logger.stream import HostTime, Source

STANDARD_INPUT = "-"
KEPT_AT_SCREEN = 1 << 18
"""Samples kept where marks are undone and turns looked at anew: a sweep that forgot is read from its file."""


@dataclass(frozen=True)
class SourceRequest:
    """What a person asks to have opened, and for what."""

    name: str
    """A port as typed, ``-`` for standard input, ``practice:NAME``; empty while none was named."""
    baud: int | None = None
    """Speed of the port; None: the rig's, or that of our boards."""
    rate_hz: int = 0
    """Readings a second to ask the board for; 0: its own."""
    rig: Rig | None = None
    """What a gauge prints that is no board of ours."""
    second: str | None = None
    """Port of the encoder, where the rig has a second one."""
    seed: int = 1
    """Of a practice bench."""
    fault: str | None = None
    """Of a practice bench."""
    kth: int = 0
    """Which of a series it is, from 0: a practice bench is then another one, later on the same day."""
    every_s: float = 0.0
    """How far apart those of the series begin."""
    serial: str = ""
    """Which part of a batch it is: a practice bench has another part for each."""
    patient: bool = False
    """A port that went away is never given up, and a board that does not answer is greeted again."""
    watched: bool = False
    """A person looks on and presses keys: a practice bench takes as long as life."""

    @property
    def practice(self) -> bool:
        """Tell whether the practice bench is meant."""
        return self.name.startswith(PRACTICE)


@dataclass(frozen=True)
class OpenedSource:
    """An open source, and what was asked of it."""

    request: SourceRequest
    source: Source
    known: "sources.KnownBoards | None" = None
    """The list its board enters once it has answered; None where the source is no port."""

    def setup(self, override: Mapping[str, str]) -> dict[str, str]:
        """Return what bench and rig say of themselves, as a set-up's text, with ``override`` on top."""
        rig = self.request.rig
        return {**getattr(self.source, "setup", {}), **dict(rig.text if rig else ()), **override}

    def record(
        self,
        path: Path,
        setup: Mapping[str, str],
        version: str,
        *,
        until: Until | None = None,
        after_item: Callable[[Session, HostTime], None] | None = None,
    ) -> Recorder:
        """Begin a recording, ``after_item`` as in Worker. Raises BadInput, RecordingError, LinkError."""
        request = self.request
        recorder = Recorder(
            self.source,
            path,
            setup=setup,
            identity=new_identity(self.source.now()),
            version=version,
            rate_hz=request.rate_hz,
            until=until,
            threaded=request.watched or not request.practice,
            lines=request.rig is not None,
            after_item=after_item,
            patient=request.patient,
            kept_samples=KEPT_AT_SCREEN if request.watched else KEPT_SAMPLES,
        )
        if request.rig is not None and request.rig.port.send:
            self.source.write(request.rig.port.send.encode())
        return recorder

    def record_unnamed(
        self,
        folder: Path,
        setup: Mapping[str, str],
        version: str,
        *,
        now: datetime,
        until: Until | None = None,
        after_item: Callable[[Session, HostTime], None] | None = None,
    ) -> Recorder:
        """Begin a recording that nobody named, in a folder: of two begun in one second each has its file."""
        while True:
            path = default_path(folder, setup.get("part", ""), now)
            try:
                return self.record(path, setup, version, until=until, after_item=after_item)
            except RecordingError as error:
                if not isinstance(error.__cause__, FileExistsError):
                    raise
                # another program took the name since it was looked for: the next one is free

    def remember(self) -> None:
        """Have the board known from now on; of two ports neither is. Raises BadInput."""
        if self.known is None:
            return
        source = self.source.source if isinstance(self.source, KeptOpen) else self.source
        if isinstance(source, sources.PortSource):
            self.known.remember(source.info)


def check_request(request: SourceRequest, *, recording: bool = False) -> None:
    """Refuse what does not go together; ``recording``: a file was named, no source. Raises BadInput."""
    rig, second, piped = request.rig, request.second, request.name == STANDARD_INPUT
    two_ports = rig is not None and rig.second is not None
    no_port = recording or request.practice or not request.name
    refusals = (
        (
            request.fault is not None and not request.practice,
            "--fault is for practice:NAME; a port has its own",
        ),
        (
            piped and request.watched,
            "- is the keyboard here: watch needs it for its keys; give a port, or use record -",
        ),
        (
            piped and rig is None,
            "- sends lines of which nothing is known: describe them in a rig file, with --rig",
        ),
        (
            second is not None and not two_ports,
            "--second names the encoder's port of a rig: describe it in [second.line], with --rig",
        ),
        (two_ports and second is None, "the rig has a second port: name it with --second"),
        (
            rig is not None and no_port,
            "--rig says what a port prints: name the port; a recording or the bench knows its own",
        ),
    )
    for refused, sentence in refusals:
        if refused:
            raise BadInput(sentence)


def open_source(request: SourceRequest, config_folder: Path) -> OpenedSource:
    """Open what was asked for; ``config_folder`` holds the list of known boards.

    Raises BadInput for what does not go together or is not there, LinkError for a port that does not open.
    """
    check_request(request)
    if request.practice:
        return OpenedSource(request, _bench(request))
    if request.name == STANDARD_INPUT:
        return OpenedSource(request, sources.StandardInput())
    known = sources.KnownBoards(config_folder)
    return OpenedSource(request, _ports(request, known), known)


def _bench(request: SourceRequest) -> Source:
    name, seed, fault = request.name.removeprefix(PRACTICE), request.seed, _fault_of_kth(request)
    part = f"{seed}:{request.serial}" if request.serial else ""
    if request.watched:
        return practice.PacedPractice(name, seed + request.kth, fault, part=part)
    later_s = request.kth * request.every_s
    return practice.PracticeSource(name, seed + request.kth, fault, day=seed, later_s=later_s, part=part)


def _fault_of_kth(request: SourceRequest) -> str | None:
    """Return the fault of this one of a series: ``unplug@3`` is a fault of the third alone."""
    fault, at, which = (request.fault or "").partition("@")
    if not at:
        return request.fault
    if not which.isdecimal() or int(which) < 1:
        raise BadInput(f"--fault {request.fault!r}: expected a number from 1 after @, as unplug@3")
    return fault if int(which) == request.kth + 1 else None


def _ports(request: SourceRequest, known: "sources.KnownBoards") -> Source:
    """Open the port, and the encoder's where the rig has a second one."""
    policy = sources.ReopenPolicy(give_up_s=math.inf) if request.patient else None
    rule = request.rig.port if request.rig else None
    port = sources.PortSource(
        request.name,
        picked=True,
        known=known,
        baud=request.baud or (rule.baud if rule else sources.BAUD),
        parity=rule.parity if rule else "none",
        policy=policy,
    )
    if request.rig is None or request.rig.second is None or request.second is None:
        return port
    rule = request.rig.second.port
    try:
        encoder = sources.PortSource(
            request.second,
            picked=True,
            known=known,
            baud=rule.baud,
            parity=rule.parity,
            link=1,
            policy=policy,
        )
    except FullturnError:
        port.close()
        raise
    return sources.PairSource(port, encoder)
